#pragma once

#include <span>
#include <vector>

#include "process_model.h"

namespace platewise {

// What the contract calls a right plate.
inline constexpr double kRightExposure_stops = 1.0 / 3.0;
inline constexpr double kRightFog = 0.03;

struct ChangeLimits {
  double exposure_stops = 1.5;     // either way
  double development_less = -0.7;  // ln(time ratio)
  double development_more = 0.7;
  double worse_fee = 2.0;  // what a next plate costs that is worse than repeating; see choose_change
};

// The change for the next plate with the least expected loss over the draws: tolerances off, exposure (1/3
// stop) and fog (0.03 D) summed, as a right plate is defined; with a fee for the probability that the next
// plate is worse than one made with this plate's settings: off by more than a tenth more. So where little is
// known, little is changed. Range and empty shadows have no terms of their own: with scene and material given
// they follow from exposure and development, and are as they should be where those two are.
struct ChosenChange {
  double exposure_stops = 0.0;
  double log_development = 0.0;
};
[[nodiscard]] ChosenChange choose_change(std::span<const ProcessState> draws, const ChangeLimits& limits);

// Between these lies the change that 80% of the draws need, and the change proposed.
struct NeededChange {
  double low = 0.0;
  double high = 0.0;
};
[[nodiscard]] NeededChange needed_exposure(std::span<const ProcessState> draws, double proposed_stops);
[[nodiscard]] NeededChange needed_development(std::span<const ProcessState> draws, double proposed_log);

}  // namespace platewise
