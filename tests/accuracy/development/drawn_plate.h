#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "accuracy/faults_rendering.h"
#include "platewise/density/plate_density.h"
#include "platewise/regions/regions.h"

namespace platewise::development {

// A plate of src/demo with faults, as the fault detectors get it, with the truth in the form that the fault
// matching takes. For developing detectors; no accuracy is claimed from it.
struct DrawnPlate {
  heldout::FaultRendering truth;
  PlateDensity density;
  Regions regions;
};

struct DrawnPlan {
  std::uint64_t seed = 1;
  std::vector<std::string> only;                   // faults to draw; empty: all, in turn
  std::optional<PlateKind> kind;                   // empty: in turn
  bool photo = false;                              // photographed by a phone instead of scanned
  std::vector<std::filesystem::path> photographs;  // scenes of two plates in three; empty: all are drawn
  std::filesystem::path kept_folder;  // plates already drawn and measured are taken from here; empty: none
};

// The index-th plate: of six, one is clean, one clean and full of lines, four carry two faults; strengths are
// log-uniform and half of them carry everyday specks. Empty, with a line on standard error, where the program
// could not measure it.
[[nodiscard]] std::optional<DrawnPlate> drawn_plate(const DrawnPlan& plan, int index);

}  // namespace platewise::development
