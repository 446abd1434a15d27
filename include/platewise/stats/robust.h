#pragma once

#include <span>
#include <vector>

#include "platewise/core/quantity.h"

namespace platewise {

// Summaries that a few wild values cannot move. Inputs need no order; NaN is not allowed.

// Sample quantile, p in [0, 1]: linear between order statistics at position (n-1) p.
// Source: Hyndman & Fan 1996, definition 7. Asserts at least one value.
[[nodiscard]] double quantile(std::span<const double> values, double p);

// The 0.5 quantile.
[[nodiscard]] double median(std::span<const double> values);

// Median of |value - centre|, not scaled.
[[nodiscard]] double median_deviation(std::span<const double> values, double centre);

// One sigma of a Gaussian from the median absolute deviation: 1.4826 times median |x - median|.
[[nodiscard]] double robust_sigma(std::span<const double> values);

// Mean of the values within `reach` robust sigmas of the median, and its standard error as if they were
// independent: sigma / sqrt(kept). One value: u = 0.
[[nodiscard]] Quantity robust_mean(std::span<const double> values, double reach = 3.0);

// y = intercept + slope x through the median of all pairwise slopes (Theil 1950, Sen 1968);
// intercept = median(y) - slope median(x). Pairs with equal x are left out. O(n^2).
struct RobustLine {
  double slope = 0.0;
  double intercept = 0.0;
};
[[nodiscard]] RobustLine robust_line(std::span<const double> x, std::span<const double> y);

}  // namespace platewise
