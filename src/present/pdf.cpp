#include "platewise/present/pdf.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdlib>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <thread>
#include <vector>

namespace platewise {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kHowToGet =
    "install Debian's package chromium, or print the page from any browser";

std::optional<fs::path> on_path(std::string_view program) {
  const char* path = std::getenv("PATH");
  std::string_view rest = path != nullptr ? path : "";
  while (!rest.empty()) {
    const std::size_t colon = rest.find(':');
    const fs::path candidate = fs::path(rest.substr(0, colon)) / program;
    if (::access(candidate.c_str(), X_OK) == 0) return candidate;
    if (colon == std::string_view::npos) break;
    rest.remove_prefix(colon + 1);
  }
  return std::nullopt;
}

std::optional<fs::path> installed_browser() {
  if (const char* named = std::getenv("PLATEWISE_BROWSER"); named != nullptr && *named != '\0') {
    if (::access(named, X_OK) == 0) return fs::path(named);
    return std::nullopt;
  }
  for (const std::string_view name : {"chromium", "chromium-browser"}) {
    if (auto found = on_path(name)) return found;
  }
  return std::nullopt;
}

// A folder of its own for the browser, removed with everything in it.
class ScratchFolder {
 public:
  ScratchFolder() {
    std::error_code error;
    std::string name = (fs::temp_directory_path(error) / "platewise-print-XXXXXX").string();
    if (!error && ::mkdtemp(name.data()) != nullptr) path_ = name;
  }
  ~ScratchFolder() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

std::string file_address(const fs::path& file) {
  std::string address = "file://";
  for (const char c : fs::absolute(file).string()) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = std::isalnum(byte) != 0 || c == '/' || c == '-' || c == '_' || c == '.' || c == '~';
    address += plain ? std::string(1, c) : fmt::format("%{:02X}", byte);
  }
  return address;
}

enum class Ending { done, failed, timed_out };

Ending run(const std::vector<std::string>& command, double timeout_s) {
  std::vector<char*> arguments;
  arguments.reserve(command.size() + 1);
  for (const std::string& word : command) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    posix_spawn_file_actions_addopen(&actions, stream, "/dev/null",
                                     stream == STDIN_FILENO ? O_RDONLY : O_WRONLY, 0);
  }
  pid_t child = 0;
  const int spawned =
      posix_spawn(&child, command.front().c_str(), &actions, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  if (spawned != 0) return Ending::failed;
  const auto deadline = std::chrono::steady_clock::now() + std::chrono::duration<double>(timeout_s);
  int status = 0;
  while (::waitpid(child, &status, WNOHANG) == 0) {
    if (std::chrono::steady_clock::now() > deadline) {
      ::kill(child, SIGKILL);
      ::waitpid(child, &status, 0);
      return Ending::timed_out;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? Ending::done : Ending::failed;
}

}  // namespace

Result<void> print_pdf(const fs::path& page, const fs::path& pdf, double timeout_s) {
  const std::optional<fs::path> browser = installed_browser();
  if (!browser)
    return failure(pdf.string(), "no Chromium was found to print the report with", std::string(kHowToGet));
  const ScratchFolder scratch;
  if (scratch.path().empty()) return failure(pdf.string(), "no folder for temporary files could be made");
  const fs::path printed = fs::path(pdf) += ".part";
  std::vector<std::string> command{browser->string(),
                                   "--headless",
                                   "--disable-gpu",
                                   "--disable-background-networking",
                                   "--no-first-run",
                                   "--no-pdf-header-footer",
                                   "--user-data-dir=" + scratch.path().string(),
                                   "--print-to-pdf=" + fs::absolute(printed).string()};
  if (::geteuid() == 0) command.emplace_back("--no-sandbox");  // Chromium refuses its sandbox to root
  command.push_back(file_address(page));
  const Ending ending = run(command, timeout_s);
  std::error_code error;
  if (ending == Ending::done && fs::file_size(printed, error) > 0 && !error) {
    fs::rename(printed, pdf, error);
    if (!error) return {};
  }
  fs::remove(printed, error);
  if (ending == Ending::timed_out) return failure(pdf.string(), "Chromium did not finish printing in time");
  return failure(pdf.string(), "Chromium could not print the report here",
                 "check that the folder can be written to");
}

}  // namespace platewise
