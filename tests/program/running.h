#pragma once

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>
#include <vector>

namespace platewise {

struct Outcome {
  int exit_code = -1;  // 128 + signal when it was killed
  std::string out;
  std::string err;
};

inline std::string contents(const std::filesystem::path& path) {
  std::ostringstream text;
  text << std::ifstream(path, std::ios::binary).rdbuf();
  return text.str();
}

// Root may do everything; what an ordinary person may not do is tried as one.
inline void as_nobody() {
  constexpr uid_t kNobody = 65534;
  if (::geteuid() == 0 && (::setgid(kNobody) != 0 || ::setuid(kNobody) != 0)) ::_exit(126);
}

// Runs the program in `folder` with these arguments, without a shell between, so that any file name goes.
// `prepare` is called in the new process, just before the program takes it over.
inline Outcome run_program(const std::filesystem::path& folder, std::vector<std::string> arguments,
                           const std::string& stdout_to = {}, const std::function<void()>& prepare = {}) {
  const std::filesystem::path out = stdout_to.empty() ? folder / ".stdout" : std::filesystem::path(stdout_to);
  const std::filesystem::path err = folder / ".stderr";
  arguments.insert(arguments.begin(), PLATEWISE_BINARY);
  std::vector<char*> argv;
  for (std::string& argument : arguments) argv.push_back(argument.data());
  argv.push_back(nullptr);
  const pid_t child = ::fork();
  if (child == 0) {
    const int out_file = ::open(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    const int err_file = ::open(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    ::dup2(out_file, STDOUT_FILENO);
    ::dup2(err_file, STDERR_FILENO);
    // Opened before `prepare`, which may give up the right to walk to it.
    const int program = ::open(PLATEWISE_BINARY, O_PATH | O_CLOEXEC);
    const bool there = ::chdir(folder.c_str()) == 0;
    if (prepare) prepare();
    if (there) ::fexecve(program, argv.data(), environ);
    ::_exit(127);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  Outcome outcome;
  outcome.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  if (stdout_to.empty()) outcome.out = contents(out);
  outcome.err = contents(err);
  return outcome;
}

}  // namespace platewise
