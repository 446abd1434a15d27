#include "child_run.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>

namespace platewise::bench {
namespace {

double seconds(const timeval& time) {
  return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
}

[[noreturn]] void become(std::vector<std::string> command) {
  const int nothing = ::open("/dev/null", O_RDWR);
  ::dup2(nothing, STDOUT_FILENO);
  ::dup2(nothing, STDERR_FILENO);
  std::vector<char*> argv;
  argv.reserve(command.size() + 1);
  for (std::string& word : command) argv.push_back(word.data());
  argv.push_back(nullptr);
  ::execvp(argv[0], argv.data());
  ::_exit(127);
}

}  // namespace

Cost run_once(const std::vector<std::string>& command, const std::string& cores) {
  std::vector<std::string> words = command;
  if (!cores.empty()) words.insert(words.begin(), {"taskset", "-c", cores});
  const auto start = std::chrono::steady_clock::now();
  const pid_t child = ::fork();
  if (child == 0) become(words);
  int status = 0;
  rusage used{};
  ::wait4(child, &status, 0, &used);
  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start;
  return {.wall_s = wall.count(),
          .cpu_s = seconds(used.ru_utime) + seconds(used.ru_stime),
          .peak_mb = static_cast<double>(used.ru_maxrss) / 1024.0,
          .succeeded = WIFEXITED(status) && WEXITSTATUS(status) == 0};
}

Cost best_of(int times, const std::vector<std::string>& command, const std::string& cores) {
  Cost best = run_once(command, cores);
  for (int i = 1; i < times; ++i) {
    const Cost cost = run_once(command, cores);
    const double peak = std::max(best.peak_mb, cost.peak_mb);
    const bool succeeded = best.succeeded && cost.succeeded;
    if (cost.wall_s < best.wall_s) best = cost;
    best.peak_mb = peak;
    best.succeeded = succeeded;
  }
  return best;
}

}  // namespace platewise::bench
