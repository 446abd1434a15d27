#pragma once

#include "accuracy/calibration/photographer.h"
#include "platewise/calibrate/calibrate_plate.h"

namespace platewise::simulated {

// A plate that the photographer exposed in strips: times in his notebook, which his hand did not quite keep.
// The strips show an even sheet or a scene whose median light is that of the notebook.
struct StripPlate {
  Photographer who;  // with log exposure 0 at the longest time noted
  StripOptions strips;
  Scan scan;
};
[[nodiscard]] StripPlate strip_plate(const Photographer& photographer, std::uint64_t seed);

}  // namespace platewise::simulated
