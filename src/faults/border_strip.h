#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/faults/evidence.h"

namespace platewise {

// The outermost film along one side of the plate, walked in steps. Where the holder covered it, it carries
// no picture: whatever lifts it came from elsewhere (stray light, a stain, a finger). Where no rim was seen
// the picture's own outer band is walked; its scatter then says how much a lift can mean.
struct StripPlace {
  double along = 0.0;  // units from the side's left or top end
  double lift = 0.0;  // silver over the clean rim (or the band's middle): the lesser of the strip's inner and
                      // outer half
  double outer = 0.0;  // where the strip meets the film's edge, units from the plate's side
  double inner = 0.0;  // where it meets the opening
};

struct BorderStrip {
  Edge side = Edge::top;
  bool rim = false;                // covered by the holder
  double scatter = 0.0;            // robust sigma of the lifts that chance and picture give
  double length = 0.0;             // of the side, units
  std::vector<StripPlace> places;  // only where the rim is wide enough to be measured
};

// A stretch of the rim that is lifted beyond chance.
struct Lifted {
  Edge side = Edge::top;
  bool rim = false;
  double outer = 0.0;  // of the place with the greatest lift, as above
  double inner = 0.0;
  double from = 0.0;  // units along the side, at half of the greatest lift
  double to = 0.0;
  double lift = 0.0;       // greatest, silver
  double rise_from = 0.0;  // units from a quarter to three quarters of the greatest lift, at either end
  double rise_to = 0.0;
  bool open_from = false;  // runs on where the rim can't be seen
  bool open_to = false;
  double log10_nfa = 0.0;
};

// A point of the plate, units: `along` a side, `inward` from it.
[[nodiscard]] cv::Point2d on_side(const Evidence& evidence, Edge side, double along, double inward);

[[nodiscard]] std::vector<BorderStrip> border_strips(const Evidence& evidence);

// Chance is the strip's scatter: learnt from all rims of this plate, or from the band itself.
[[nodiscard]] std::vector<Lifted> lifted_stretches(const std::vector<BorderStrip>& strips);

}  // namespace platewise
