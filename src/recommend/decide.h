#pragma once

#include <span>
#include <vector>

#include "process_model.h"

namespace platewise {

// What the contract calls a right plate.
inline constexpr double kRightExposure_stops = 1.0 / 3.0;
inline constexpr double kRightFog = 0.03;

// How bad a plate is that is off by these: 0 at the aim, about 1 more per tolerance beyond it, so that a wild
// guess does not rule the average: sqrt(1 + z^2) - 1 for an error of z tolerances.
[[nodiscard]] double exposure_loss(double error_stops);
[[nodiscard]] double development_loss(const ProcessState& state, double log_development);

struct ChangeLimits {
  double exposure_stops = 1.5;     // either way
  double development_less = -0.7;  // ln(time ratio)
  double development_more = 0.7;
};

// The change for the next plate with the least expected loss over the draws, exposure and development
// together, with a fee for the probability that the next plate is clearly worse than one made with this
// plate's settings. So where little is known, little is changed.
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
