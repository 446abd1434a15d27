#pragma once

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
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

// Runs the program in `folder` with these arguments, without a shell between, so that any file name goes.
inline Outcome run_program(const std::filesystem::path& folder, std::vector<std::string> arguments,
                           const std::string& stdout_to = {}) {
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
    if (::chdir(folder.c_str()) == 0) ::execv(PLATEWISE_BINARY, argv.data());
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
