#include "decide.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

// Worse by more than a tenth than repeating, and by more than nothing much (issue 8's measure, with a floor).
constexpr double kClearlyWorse = 1.1;
constexpr double kNothingMuch = 0.05;
// What a clearly worse next plate costs, in tolerances; weighs caution against speed of correction.
constexpr double kWorseFee = 0.6;
constexpr double kStep = 0.05;

// Loss of draw `i` after `change`.
using LossAfter = std::function<double(const ProcessState&, double change)>;

double expected_cost(std::span<const ProcessState> draws, const LossAfter& loss, double change) {
  double cost = 0.0;
  for (const ProcessState& draw : draws) {
    const double after = loss(draw, change);
    const bool worse = after > kClearlyWorse * loss(draw, 0.0) + kNothingMuch;
    cost += after + (worse ? kWorseFee : 0.0);
  }
  return cost / static_cast<double>(draws.size());
}

double cheapest(std::span<const ProcessState> draws, const LossAfter& loss, ChangeLimits limits) {
  double best = 0.0;
  double least = expected_cost(draws, loss, 0.0);
  const int steps_less = static_cast<int>(std::floor(-limits.less / kStep));
  const int steps_more = static_cast<int>(std::floor(limits.more / kStep));
  for (int step = -steps_less; step <= steps_more; ++step) {
    const double cost = expected_cost(draws, loss, step * kStep);
    if (cost < least) {
      least = cost;
      best = step * kStep;
    }
  }
  return best;
}

ChosenChange with_interval(double change, std::vector<double> needed) {
  return {.change = change,
          .low = std::min(change, quantile(needed, 0.1)),
          .high = std::max(change, quantile(needed, 0.9))};
}

double off_by(double tolerances) {
  return std::sqrt(1.0 + tolerances * tolerances) - 1.0;
}

}  // namespace

double exposure_loss(double error_stops) {
  return off_by(error_stops / kRightExposure_stops);
}

double development_loss(const ProcessState& state, double log_development) {
  return off_by((developed_fog(state, log_development) - kAimFog) / kRightFog);
}

ChosenChange choose_exposure(std::span<const ProcessState> draws, ChangeLimits limits) {
  const double change = cheapest(
      draws,
      [](const ProcessState& draw, double stops) { return exposure_loss(draw.exposure_error_stops + stops); },
      limits);
  std::vector<double> needed;
  for (const ProcessState& draw : draws) needed.push_back(-draw.exposure_error_stops);
  return with_interval(change, std::move(needed));
}

ChosenChange choose_development(std::span<const ProcessState> draws, ChangeLimits limits) {
  const double change = cheapest(
      draws,
      [](const ProcessState& draw, double more) {
        return development_loss(draw, draw.log_development + more);
      },
      limits);
  std::vector<double> needed;
  for (const ProcessState& draw : draws) needed.push_back(-draw.log_development);
  return with_interval(change, std::move(needed));
}

}  // namespace platewise
