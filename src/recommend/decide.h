#pragma once

#include <span>
#include <vector>

#include "process_model.h"

namespace platewise {

// What the contract calls a right plate.
inline constexpr double kRightExposure_stops = 1.0 / 3.0;
inline constexpr double kRightFog = 0.03;

// How bad a plate is that is off by these: 0 at the aim, about 1 per tolerance beyond it, so that a wild
// guess does not rule the average. sqrt(1 + z^2) - 1 for each error z in tolerances, added.
[[nodiscard]] double exposure_loss(double error_stops);
[[nodiscard]] double development_loss(const ProcessState& state, double log_development);

// A change of one setting, chosen to have the least expected loss over the draws, with a fee for the
// probability that it leaves the next plate clearly worse than repeating this one's setting.
struct ChosenChange {
  double change = 0.0;  // stops, or ln(time ratio)
  double low = 0.0;     // 80% of the draws need a change between low and high
  double high = 0.0;
};
struct ChangeLimits {
  double less = -1.5;
  double more = 1.5;
};
[[nodiscard]] ChosenChange choose_exposure(std::span<const ProcessState> draws, ChangeLimits limits);
[[nodiscard]] ChosenChange choose_development(std::span<const ProcessState> draws, ChangeLimits limits);

}  // namespace platewise
