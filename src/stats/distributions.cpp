#include "platewise/stats/distributions.h"

#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>

namespace platewise {
namespace {

// Continued fraction of the incomplete beta function by Lentz's method.
double beta_fraction(double x, double a, double b) {
  constexpr double kTiny = 1e-300;
  constexpr int kTermsMax = 10000;
  const auto away_from_zero = [](double v) { return std::abs(v) < kTiny ? kTiny : v; };
  double c = 1.0;
  double d = 1.0 / away_from_zero(1.0 - (a + b) * x / (a + 1.0));
  double result = d;
  for (int m = 1; m < kTermsMax; ++m) {
    const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1.0 / away_from_zero(1.0 + even * d);
    c = away_from_zero(1.0 + even / c);
    result *= d * c;
    const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1.0 / away_from_zero(1.0 + odd * d);
    c = away_from_zero(1.0 + odd / c);
    result *= d * c;
    if (std::abs(d * c - 1.0) < 1e-16) break;
  }
  return result;
}

// Solves share_below(x) = p for a rising share by widening, then halving, an interval.
template <class Share>
double solved_quantile(const Share& share_below, double p) {
  double low = -1.0;
  double high = 1.0;
  while (share_below(low) > p) low *= 2.0;
  while (share_below(high) < p) high *= 2.0;
  for (int i = 0; i < 200 && high - low > std::numeric_limits<double>::epsilon() * std::abs(high); ++i) {
    const double middle = 0.5 * (low + high);
    (share_below(middle) < p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace

double normal_share_below(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normal_quantile(double p) {
  assert(p > 0.0 && p < 1.0);
  if (p > 0.5) return -normal_quantile(1.0 - p);
  return solved_quantile(normal_share_below, p);
}

double poisson_share_from(int hits, double mean) {
  double term = 1.0;
  double sum = 0.0;
  for (int i = 0; i < hits; ++i) {
    sum += term;
    term *= mean / (i + 1);
  }
  return 1.0 - std::exp(-mean) * sum;
}

double incomplete_beta(double x, double a, double b) {
  assert(x >= 0.0 && x <= 1.0 && a > 0.0 && b > 0.0);
  if (x == 0.0 || x == 1.0) return x;
  const double log_front =
      std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) + a * std::log(x) + b * std::log1p(-x);
  if (x < (a + 1.0) / (a + b + 2.0)) return std::exp(log_front) * beta_fraction(x, a, b) / a;
  return 1.0 - std::exp(log_front) * beta_fraction(1.0 - x, b, a) / b;
}

double student_t_share_below(double t, double degrees_of_freedom) {
  const double outside =
      incomplete_beta(degrees_of_freedom / (degrees_of_freedom + t * t), degrees_of_freedom / 2.0, 0.5);
  return t < 0.0 ? 0.5 * outside : 1.0 - 0.5 * outside;
}

double student_t_quantile(double p, double degrees_of_freedom) {
  assert(p > 0.0 && p < 1.0 && degrees_of_freedom > 0.0);
  if (p > 0.5) return -student_t_quantile(1.0 - p, degrees_of_freedom);
  return solved_quantile([=](double t) { return student_t_share_below(t, degrees_of_freedom); }, p);
}

}  // namespace platewise
