#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace platewise::accuracy {

// What to do with the renderings with faults.
struct FaultsRun {
  int renderings = 60;
  std::uint64_t seed = 40;
  std::vector<std::string> only;  // draw these faults alone
  bool found_corners = false;     // measure with the found corners too
  std::string worst_folder;
  int worst = 6;
  std::string show_folder;
  std::string plots_folder;
  bool list = false;
  bool check = false;
};

// Scores the renderings with the whole pipeline and prints the tables. False when a bound of the small sample
// is not held.
[[nodiscard]] bool run_faults(const FaultsRun& wanted, const std::filesystem::path& scratch);

}  // namespace platewise::accuracy
