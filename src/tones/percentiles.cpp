#include "percentiles.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kLargestMoveInNoise = 2.0;  // the 2nd percentile of pure noise lies 2 sigmas out
// A densitometer's 0.003 (density_practice.json: 0.006 at k = 2), and faint faults that nobody marked.
constexpr double kReadingU = 0.005;
constexpr double kTailMax = 0.1;  // the middle of a distribution moves hardly at all

double outward_move(const std::vector<double>& densities, double p, double value, double noise) {
  const bool low = p < 0.5;
  const double tail = low ? p : 1.0 - p;
  if (tail > kTailMax || noise <= 0.0) return 0.0;
  const double further_in = quantile(densities, low ? 2.0 * tail : 1.0 - 2.0 * tail);
  const double decay = std::max(std::abs(further_in - value) / std::numbers::ln2, 1e-6);
  const double move = std::min(noise * noise / (2.0 * decay), kLargestMoveInNoise * noise);
  return low ? -move : move;
}

}  // namespace

Quantity percentile(const std::vector<double>& densities, double p, double noise, double doubt) {
  const double value = quantile(densities, p);
  const double move = outward_move(densities, p, value, noise);
  const double below = quantile(densities, std::clamp(p - doubt, 0.0, 1.0));
  const double above = quantile(densities, std::clamp(p + doubt, 0.0, 1.0));
  return {value - move, std::hypot(kReadingU, (above - below) / 2.0, move / 2.0)};
}

}  // namespace platewise
