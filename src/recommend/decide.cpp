#include "decide.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

// Worse by more than a tenth than repeating, and by more than nothing much.
constexpr double kClearlyWorse = 1.1;
constexpr double kNothingMuch = 0.05;
// What a clearly worse next plate costs, in tolerances; weighs caution against speed of correction.
constexpr double kWorseFee = 1.0;
constexpr double kStep = 0.05;  // stops, and ln(time ratio)

double off_by(double tolerances) {
  return std::sqrt(1.0 + tolerances * tolerances) - 1.0;
}

// Changes from `less` to `more` in steps; keeping is one of them.
std::vector<double> steps(double less, double more) {
  std::vector<double> changes;
  const int first = static_cast<int>(std::ceil(less / kStep - 1e-9));
  const int last = static_cast<int>(std::floor(more / kStep + 1e-9));
  for (int step = first; step <= last; ++step) changes.push_back(step * kStep);
  return changes;
}

// Loss of each draw (a row) after each change (a column).
template <class Loss>
Eigen::ArrayXXd losses(std::span<const ProcessState> draws, const std::vector<double>& changes, Loss loss) {
  Eigen::ArrayXXd table(static_cast<Eigen::Index>(draws.size()), static_cast<Eigen::Index>(changes.size()));
  for (Eigen::Index column = 0; column < table.cols(); ++column) {
    for (Eigen::Index row = 0; row < table.rows(); ++row) {
      table(row, column) =
          loss(draws[static_cast<std::size_t>(row)], changes[static_cast<std::size_t>(column)]);
    }
  }
  return table;
}

NeededChange interval(std::vector<double> needed, double proposed) {
  return {std::min(proposed, quantile(needed, 0.1)), std::max(proposed, quantile(needed, 0.9))};
}

}  // namespace

double exposure_loss(double error_stops) {
  return off_by(error_stops / kRightExposure_stops);
}

double development_loss(const ProcessState& state, double log_development) {
  return off_by((developed_fog(state, log_development) - kAimFog) / kRightFog);
}

ChosenChange choose_change(std::span<const ProcessState> draws, const ChangeLimits& limits) {
  const std::vector<double> exposures = steps(-limits.exposure_stops, limits.exposure_stops);
  const std::vector<double> developments = steps(limits.development_less, limits.development_more);
  const auto exposed = [](const ProcessState& draw, double change) {
    return exposure_loss(draw.exposure_error_stops + change);
  };
  const auto developed = [](const ProcessState& draw, double change) {
    return development_loss(draw, draw.log_development + change);
  };
  const Eigen::ArrayXXd exposure_losses = losses(draws, exposures, exposed);
  const Eigen::ArrayXXd development_losses = losses(draws, developments, developed);
  const Eigen::ArrayXd repeated =
      losses(draws, {0.0}, exposed).col(0) + losses(draws, {0.0}, developed).col(0);
  const Eigen::ArrayXd clearly_worse = kClearlyWorse * repeated + kNothingMuch;

  ChosenChange best;
  double least = repeated.mean();
  for (Eigen::Index e = 0; e < exposure_losses.cols(); ++e) {
    for (Eigen::Index d = 0; d < development_losses.cols(); ++d) {
      const Eigen::ArrayXd after = exposure_losses.col(e) + development_losses.col(d);
      const double worse = (after > clearly_worse).cast<double>().mean();
      const double cost = after.mean() + kWorseFee * worse;
      if (cost >= least) continue;
      least = cost;
      best = {exposures[static_cast<std::size_t>(e)], developments[static_cast<std::size_t>(d)]};
    }
  }
  return best;
}

NeededChange needed_exposure(std::span<const ProcessState> draws, double proposed_stops) {
  std::vector<double> needed;
  for (const ProcessState& draw : draws) needed.push_back(-draw.exposure_error_stops);
  return interval(std::move(needed), proposed_stops);
}

NeededChange needed_development(std::span<const ProcessState> draws, double proposed_log) {
  std::vector<double> needed;
  for (const ProcessState& draw : draws) needed.push_back(-draw.log_development);
  return interval(std::move(needed), proposed_log);
}

}  // namespace platewise
