#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

// A compact spot that chance does not explain: lighter (or darker) than everything in a ring around it.
struct Spot {
  cv::Point at;            // picture pixel
  double radius_px = 1.0;  // of the scale that shows it best
  int sign = 1;            // +1 more silver than around it, -1 less
  double response = 0.0;   // silver: mean over the spot less the most silver of twelve places round it
  double evenness = 0.0;   // response over the scatter of the places round it: an even ground gives much
  double log10_nfa = 0.0;  // by grain and texture, see below
};

// At each scale the statistic is the mean over a disc less the greatest of the means over twelve like discs
// round it (for dark spots: the least of them less the mean). Along an edge or a line of the picture one of
// the twelve is as light as the disc, so that only isolated spots respond. Chance is this plate's own: near
// each place the upper tail of the same statistic goes through its 95 and 99.5 percent quantiles, exponential
// beyond them, so that grain, recording noise and the texture of the picture all widen it. What a
// crowded part of the neighbourhood hides on an even ground beside it the second judge sees: 48 discs on
// three rings round the spot are taken as worth twelve independent ones, so that its height over them has
// Student's t with eleven degrees of freedom; a ground that scatters by less than 0.01 D counts as 0.01 D.
// Either judge is enough, with the tests counted for both. Of overlapping spots the most meaningful to both
// alone.
[[nodiscard]] std::vector<Spot> isolated_spots(const Evidence& evidence, double largest_log10_nfa);

}  // namespace platewise
