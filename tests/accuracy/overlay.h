#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "accuracy/fault_matching.h"
#include "accuracy/rendering.h"
#include "platewise/core/geometry.h"

namespace platewise::accuracy {

// A case worth looking at, and what to write beside it.
struct Worst {
  int index = 0;
  double error = 0.0;
  std::string note;
};

// Writes the rendering as people see it, with the true corners in green, into FOLDER/NNN.png.
void show_truth(const heldout::Rendering& rendering, const std::filesystem::path& folder, int index);

// Renders the worst cases again and writes each with true corners (green), found corners (red) and, where a
// plate was found, the measured picture area (blue) and bare support (yellow): FOLDER/NAME-RANK.png.
void show_worst(std::vector<Worst> cases, int how_many, std::uint64_t seed,
                const std::filesystem::path& folder, const std::string& name);

// Writes FOLDER/NAME.png: the scan with the true faults in green (those that count neither way in yellow),
// findings in red, blue where they count neither way; NAME-plain.png without them.
void show_faults(const heldout::FaultRendering& rendering, const std::vector<FoundMark>& found,
                 const Matching& matching, const std::filesystem::path& folder, const std::string& name);

}  // namespace platewise::accuracy
