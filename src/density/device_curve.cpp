#include "platewise/density/device_curve.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "platewise/stats/monotone.h"

namespace platewise {
namespace {

constexpr double kSmallestSignal = 1.0 / 65535.0;
// A curve continued as a straight line is trusted to within this share of the distance (common practice).
constexpr double kDoubtPerDensityOutside = 0.3;

double interpolated_u(const std::vector<DeviceCurve::Knot>& knots, double log_signal) {
  if (log_signal <= knots.front().log_signal) return knots.front().u;
  if (log_signal >= knots.back().log_signal) return knots.back().u;
  const auto right = std::upper_bound(knots.begin(), knots.end(), log_signal,
                                      [](double x, const auto& knot) { return x < knot.log_signal; });
  const auto left = right - 1;
  const double share = (log_signal - left->log_signal) / (right->log_signal - left->log_signal);
  return left->u + share * (right->u - left->u);
}

}  // namespace

Quantity density_of(const DeviceCurve& device, double signal) {
  assert(!device.knots.empty());
  std::vector<double> log_signals;
  std::vector<double> densities;
  for (const auto& knot : device.knots) {
    log_signals.push_back(knot.log_signal);
    densities.push_back(knot.density);
  }
  const double log_signal = std::log10(std::max(signal, kSmallestSignal));
  const double density = MonotoneCubic(log_signals, densities)(log_signal);
  const auto [least, most] = std::minmax(densities.front(), densities.back());
  const double outside = std::max({0.0, density - most, least - density});
  return {density, std::hypot(interpolated_u(device.knots, log_signal), kDoubtPerDensityOutside * outside)};
}

}  // namespace platewise
