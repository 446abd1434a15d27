#include "platewise/stats/robust.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace platewise {
namespace {

constexpr double kGaussianPerMad = 1.482602218505602;  // 1 / normal quantile at 0.75

double quantile_of_own(std::vector<double>& values, double p) {
  assert(!values.empty() && p >= 0.0 && p <= 1.0);
  const double position = p * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(std::floor(position));
  const double share = position - static_cast<double>(below);
  const auto at = values.begin() + below;
  std::nth_element(values.begin(), at, values.end());
  if (share == 0.0) return *at;
  const double above = *std::min_element(at + 1, values.end());
  return *at + share * (above - *at);
}

}  // namespace

double quantile(std::span<const double> values, double p) {
  std::vector<double> own(values.begin(), values.end());
  return quantile_of_own(own, p);
}

double median(std::span<const double> values) {
  return quantile(values, 0.5);
}

double median_deviation(std::span<const double> values, double centre) {
  std::vector<double> deviations;
  deviations.reserve(values.size());
  for (const double value : values) deviations.push_back(std::abs(value - centre));
  return quantile_of_own(deviations, 0.5);
}

double robust_sigma(std::span<const double> values) {
  return kGaussianPerMad * median_deviation(values, median(values));
}

Quantity robust_mean(std::span<const double> values, double reach) {
  const double centre = median(values);
  const double limit = reach * kGaussianPerMad * median_deviation(values, centre);
  double sum = 0.0;
  double squares = 0.0;
  double kept = 0.0;
  for (const double value : values) {
    const double difference = value - centre;
    if (std::abs(difference) > limit) continue;
    sum += difference;
    squares += difference * difference;
    kept += 1.0;
  }
  if (kept < 2.0) return {centre, 0.0};
  const double mean = sum / kept;
  const double variance = std::max(0.0, squares - kept * mean * mean) / (kept - 1.0);
  return {centre + mean, std::sqrt(variance / kept)};
}

RobustLine robust_line(std::span<const double> x, std::span<const double> y) {
  assert(x.size() == y.size());
  std::vector<double> slopes;
  slopes.reserve(x.size() * x.size() / 2);
  for (std::size_t i = 0; i < x.size(); ++i) {
    for (std::size_t j = i + 1; j < x.size(); ++j) {
      if (x[i] != x[j]) slopes.push_back((y[j] - y[i]) / (x[j] - x[i]));
    }
  }
  const double slope = slopes.empty() ? 0.0 : quantile_of_own(slopes, 0.5);
  return {slope, median(y) - slope * median(x)};
}

}  // namespace platewise
