// killed_writers ROUNDS: two writers killed each round on one logbook; says what was lost.
#include <unistd.h>

#include <cstdlib>
#include <iostream>

#include "killed_writers.h"

int main(int argc, char** argv) {
  const int rounds = argc > 1 ? std::atoi(argv[1]) : 100;
  const auto folder =
      std::filesystem::temp_directory_path() / ("platewise_killed_" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  const auto result = platewise::trial::kill_writers(folder / "plates.log", rounds);
  std::filesystem::remove_all(folder);
  std::cout << result.kills << " kills, " << result.acknowledged << " plates said to be written, "
            << result.lost << " lost, file " << (result.whole ? "whole" : "DAMAGED") << "\n";
  return result.lost == 0 && result.whole && result.acknowledged > 0 ? 0 : 1;
}
