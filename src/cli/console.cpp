#include "console.h"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <csignal>
#include <cstdlib>

namespace platewise::cli {
namespace {

constexpr int kUsualColumns = 80;
constexpr int kColumnsAtMost = 110;  // longer lines are hard to read

// Returns 0 or the errno.
int write_to(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(file, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

int terminal_columns() {
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return kUsualColumns;
  return std::clamp<int>(size.ws_col, 40, kColumnsAtMost);
}

}  // namespace

bool colour_is_wanted() {
  const char* no_color = std::getenv("NO_COLOR");
  const char* terminal = std::getenv("TERM");
  const bool dumb = terminal != nullptr && std::string_view(terminal) == "dumb";
  return (no_color == nullptr || *no_color == '\0') && !dumb;
}

Console::Console() : errors_on_terminal_(::isatty(STDERR_FILENO) != 0) {
  std::signal(SIGPIPE, SIG_IGN);  // a closed pipe comes back as an error of write()
}

void Console::print(std::string_view text) {
  clear_progress();
  if (reader_gone_ || output_failed_) return;
  const int error = write_to(STDOUT_FILENO, text);
  reader_gone_ = error == EPIPE;
  output_failed_ = error != 0 && !reader_gone_;
}

void Console::complain(const Problem& problem) {
  remark("platewise: " + problem.message());
}

void Console::remark(std::string_view line) {
  clear_progress();
  (void)write_to(STDERR_FILENO, std::string(line) + "\n");
}

TextStyle Console::style() const {
  const bool terminal = ::isatty(STDOUT_FILENO) != 0;
  return {.colour = terminal && colour_is_wanted(), .width = terminal ? terminal_columns() : kUsualColumns};
}

void Console::progress(double done, const std::string& what) {
  constexpr auto kNotBefore = std::chrono::seconds(1);
  constexpr auto kAtMostEvery = std::chrono::milliseconds(100);
  constexpr int kBarColumns = 24;
  if (!errors_on_terminal_) return;
  const std::lock_guard lock(mutex_);
  const auto now = Clock::now();
  if (now - started_ < kNotBefore || now - drawn_ < kAtMostEvery) return;
  drawn_ = now;
  bar_shown_ = true;
  const int full = static_cast<int>(std::lround(std::clamp(done, 0.0, 1.0) * kBarColumns));
  (void)write_to(STDERR_FILENO, fmt::format("\r\x1b[K[{:#<{}}{:.<{}}] {:3.0f}% {}", "", full, "",
                                            kBarColumns - full, std::clamp(done, 0.0, 1.0) * 100.0, what));
}

void Console::clear_progress() {
  const std::lock_guard lock(mutex_);
  if (!bar_shown_) return;
  (void)write_to(STDERR_FILENO, "\r\x1b[K");
  bar_shown_ = false;
}

}  // namespace platewise::cli
