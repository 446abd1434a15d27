#pragma once

#include <string>
#include <vector>

namespace platewise::bench {

// What one run of a program took.
struct Cost {
  double wall_s = 0.0;
  double cpu_s = 0.0;
  double peak_mb = 0.0;  // resident set at its highest
  bool succeeded = false;
};

// Runs a program with these arguments (the first is its path), output thrown away. `cores` as for taskset,
// empty: all.
[[nodiscard]] Cost run_once(const std::vector<std::string>& command, const std::string& cores = {});

// The fastest of `times` runs, with the highest peak of all: other work on the machine only ever adds time.
[[nodiscard]] Cost best_of(int times, const std::vector<std::string>& command, const std::string& cores = {});

}  // namespace platewise::bench
