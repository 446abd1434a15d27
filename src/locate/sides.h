#pragma once

#include <vector>

#include "search_image.h"
#include "side_evidence.h"
#include "straight_lines.h"

namespace platewise {

// A line that may be a side of the plate, moved onto the edge it looks like; or the picture's own frame.
struct Side {
  SideEvidence evidence;
  bool frame = false;
};

// How often a line laid anywhere over this very picture looks like an edge. Level and steep apart: the grain
// of a wooden table makes one of them worth little.
[[nodiscard]] EdgeWeights weights_of(const SearchImage& search, bool steep);

// The lines of one direction that look most like edges, and the frame's two, in the order they lie.
[[nodiscard]] std::vector<Side> sides_of(const SearchImage& search, const std::vector<Line>& lines,
                                         bool steep, const EdgeWeights& weights);

}  // namespace platewise
