#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/faults/evidence.h"

namespace platewise {

// The rim that the holder covered, walked along each side of the plate. It carries no picture: whatever lifts
// it came from elsewhere (stray light, a stain, a finger). All lengths in the plate's units.
struct RimPlace {
  double along = 0.0;           // from the side's left or top end
  double outer = 0.0;           // where the rim begins, from the plate's side: clear of the film's own edge
  double inner = 0.0;           // where it ends: clear of the opening's penumbra
  std::vector<double> profile;  // silver over the clean rim from `outer` inward, one a step
  double lift = 0.0;  // lesser of the medians of the inner and outer half of its outermost 3.5 units
};

struct RimSide {
  Edge side = Edge::top;
  double length = 0.0;
  std::vector<RimPlace> places;  // only where the rim is wide enough to be measured
};

// Chance is what most of this plate's rim shows: scatter about an even slope.
struct RimBand {
  std::vector<RimSide> sides;
  double scatter = 0.0;  // robust sigma of the lifts
};

inline constexpr double kRimStepUnits = 0.5;    // along
inline constexpr double kRimDepthUnits = 0.25;  // of the profiles

// Empty where no rim was seen, or too little of it.
[[nodiscard]] std::optional<RimBand> rim_band(const Evidence& evidence);

// A point of the plate, units: `along` a side, `inward` from it.
[[nodiscard]] cv::Point2d on_side(const Evidence& evidence, Edge side, double along, double inward);

}  // namespace platewise
