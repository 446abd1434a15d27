#pragma once

#include <vector>

#include "platewise/faults/evidence.h"
#include "round_edge.h"

namespace platewise {

// A spot of the picture with the circle that fits its outline.
struct RoundSpot {
  RoundEdge edge;
  int sign = 1;  // +1 more silver than around it, -1 less
  // Whole, round and hard as what lies on the film: its outline is seen nearly all round, lies on a circle
  // and is no softer than the picture's sharpest edges, and it stands out from grain.
  bool is_particle = false;
};

// The plainest spots of the plate that have an outline, one at a place, whatever they are: of the picture
// too, as background for each other. Those that look like particles come first.
[[nodiscard]] std::vector<RoundSpot> round_spots(const Evidence& evidence);

}  // namespace platewise
