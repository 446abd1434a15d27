#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

// A spot that may be the head of a comet: lighter (or darker) than its surround on all sides but one.
struct CometHead {
  cv::Point at;            // picture pixel
  double radius_px = 1.0;  // of the scale that shows it best
  int sign = 1;            // +1 more silver than around it, -1 less
  double response =
      0.0;  // silver: mean of the spot less the most silver of nine neighbouring places of twelve
  double standing_out = 0.0;  // response over the scatter of the nine
};

// The plainest spots of the plate, whatever they are: of the picture too, as background for each other. Three
// neighbouring places of the twelve round a spot may be as light as it is, where a tail leaves it; a line
// that goes through covers two that face each other and gives none. Of each size at most `most_of_a_size`,
// the plainest first.
[[nodiscard]] std::vector<CometHead> comet_heads(const Evidence& evidence, std::size_t most_of_a_size);

}  // namespace platewise
