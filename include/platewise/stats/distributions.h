#pragma once

namespace platewise {

// Standard normal distribution. `normal_quantile` asserts 0 < p < 1.
[[nodiscard]] double normal_share_below(double z);
[[nodiscard]] double normal_quantile(double p);

// Student's t with `degrees_of_freedom` > 0 (need not be whole).
[[nodiscard]] double student_t_share_below(double t, double degrees_of_freedom);
[[nodiscard]] double student_t_quantile(double p, double degrees_of_freedom);

// Chance of at least `hits` events where `mean` are expected, by Poisson's law.
[[nodiscard]] double poisson_share_from(int hits, double mean);

// Regularised incomplete beta function I_x(a, b), x in [0, 1], a, b > 0; by its continued fraction.
[[nodiscard]] double incomplete_beta(double x, double a, double b);

}  // namespace platewise
