#include "decide.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kClearlyWorse = 1.1;
constexpr double kStep = 0.05;  // stops, and ln(time ratio)

double exposure_tolerances(double error_stops) {
  return std::abs(error_stops) / kRightExposure_stops;
}

double fog_tolerances(const ProcessState& state, double log_development) {
  return std::abs(developed_fog(state, log_development) - kAimFog) / kRightFog;
}

// Changes from `less` to `more` in steps; keeping is one of them.
std::vector<double> steps(double less, double more) {
  std::vector<double> changes;
  const int first = static_cast<int>(std::ceil(less / kStep - 1e-9));
  const int last = static_cast<int>(std::floor(more / kStep + 1e-9));
  for (int step = first; step <= last; ++step) changes.push_back(step * kStep);
  return changes;
}

std::size_t kept(const std::vector<double>& changes) {
  const auto nearest = std::min_element(changes.begin(), changes.end(),
                                        [](double a, double b) { return std::abs(a) < std::abs(b); });
  return static_cast<std::size_t>(nearest - changes.begin());
}

// Tolerances that each draw (a row) is off by after each change (a column).
template <class Off>
Eigen::ArrayXXd tolerances(std::span<const ProcessState> draws, const std::vector<double>& changes, Off off) {
  Eigen::ArrayXXd table(static_cast<Eigen::Index>(draws.size()), static_cast<Eigen::Index>(changes.size()));
  for (Eigen::Index column = 0; column < table.cols(); ++column) {
    for (Eigen::Index row = 0; row < table.rows(); ++row) {
      table(row, column) =
          off(draws[static_cast<std::size_t>(row)], changes[static_cast<std::size_t>(column)]);
    }
  }
  return table;
}

NeededChange interval(std::span<const double> needed, double proposed) {
  return {std::min(proposed, quantile(needed, 0.1)), std::max(proposed, quantile(needed, 0.9))};
}

}  // namespace

ChosenChange choose_change(std::span<const ProcessState> draws, const ChangeLimits& limits) {
  const std::vector<double> exposures = steps(-limits.exposure_stops, limits.exposure_stops);
  const std::vector<double> developments = steps(limits.development_less, limits.development_more);
  const Eigen::ArrayXXd off = tolerances(draws, exposures, [](const ProcessState& draw, double change) {
    return exposure_tolerances(draw.exposure_error_stops + change);
  });
  const Eigen::ArrayXXd veil = tolerances(draws, developments, [](const ProcessState& draw, double change) {
    return fog_tolerances(draw, draw.log_development + change);
  });
  const Eigen::ArrayXd exposure_losses = off.colwise().mean();
  const Eigen::ArrayXd development_losses = veil.colwise().mean();
  const auto keep_exposure = static_cast<Eigen::Index>(kept(exposures));
  const auto keep_development = static_cast<Eigen::Index>(kept(developments));
  const Eigen::ArrayXd still_as_good = kClearlyWorse * (off.col(keep_exposure) + veil.col(keep_development));

  ChosenChange best;
  double least = exposure_losses(keep_exposure) + development_losses(keep_development);
  for (Eigen::Index e = 0; e < off.cols(); ++e) {
    for (Eigen::Index d = 0; d < veil.cols(); ++d) {
      const double loss = exposure_losses(e) + development_losses(d);
      if (loss >= least) continue;
      const double worse = (off.col(e) + veil.col(d) > still_as_good + 1e-9).cast<double>().mean();
      if (loss + limits.worse_fee * worse >= least) continue;
      least = loss + limits.worse_fee * worse;
      best = {exposures[static_cast<std::size_t>(e)], developments[static_cast<std::size_t>(d)]};
    }
  }
  return best;
}

NeededChange needed_exposure(std::span<const ProcessState> draws, double proposed_stops) {
  std::vector<double> needed;
  for (const ProcessState& draw : draws) needed.push_back(-draw.exposure_error_stops);
  return interval(needed, proposed_stops);
}

NeededChange needed_development(std::span<const ProcessState> draws, double proposed_log) {
  std::vector<double> needed;
  for (const ProcessState& draw : draws) needed.push_back(-draw.log_development);
  return interval(needed, proposed_log);
}

}  // namespace platewise
