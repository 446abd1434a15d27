#include "platewise/stats/nfa.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

namespace platewise {
namespace {

double log_binomial_term(std::int64_t n, std::int64_t k, double p) {
  const auto count = static_cast<double>(n);
  const auto hits = static_cast<double>(k);
  return std::lgamma(count + 1) - std::lgamma(hits + 1) - std::lgamma(count - hits + 1) + hits * std::log(p) +
         (count - hits) * std::log1p(-p);
}

// Natural log of the sum of the terms k, k+1, ... n; k above the mode, so the terms fall.
double log_upper_sum(std::int64_t n, std::int64_t k, double p) {
  const double odds = p / (1.0 - p);
  double term = 1.0;
  double sum = 1.0;
  for (std::int64_t i = k; i < n; ++i) {
    term *= odds * static_cast<double>(n - i) / static_cast<double>(i + 1);
    sum += term;
    if (term < sum * std::numeric_limits<double>::epsilon()) break;
  }
  return log_binomial_term(n, k, p) + std::log(sum);
}

}  // namespace

double log10_binomial_tail(std::int64_t n, std::int64_t k, double p) {
  assert(n >= 0 && p > 0.0 && p < 1.0);
  if (k <= 0) return 0.0;
  if (k > n) return -std::numeric_limits<double>::infinity();
  if (static_cast<double>(k) > p * static_cast<double>(n)) {
    return std::fmin(0.0, log_upper_sum(n, k, p) / std::numbers::ln10);
  }
  // Below the mean: one minus the share of at most k-1 hits, which is the upper tail of the misses.
  const double below = std::exp(log_upper_sum(n, n - k + 1, 1.0 - p));
  return std::log1p(-below) / std::numbers::ln10;
}

double log10_normal_tail(double z) {
  constexpr double kErfcReach = 30.0;  // erfc underflows near z = 38
  if (z < kErfcReach) return std::log10(0.5 * std::erfc(z / std::numbers::sqrt2));
  const double inverse = 1.0 / (z * z);  // asymptotic series of Mills' ratio
  const double series = 1.0 - inverse * (1.0 - 3.0 * inverse * (1.0 - 5.0 * inverse));
  return (-0.5 * z * z - std::log(z * std::sqrt(2.0 * std::numbers::pi)) + std::log(series)) /
         std::numbers::ln10;
}

double log10_nfa(double log10_tests, std::int64_t n, std::int64_t k, double p) {
  return log10_tests + log10_binomial_tail(n, k, p);
}

std::vector<double> log10_nfa_shared(const std::vector<double>& log10_nfas) {
  std::vector<std::size_t> order(log10_nfas.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return log10_nfas[a] < log10_nfas[b]; });
  std::vector<double> shared(log10_nfas.size());
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t rank = order.size(); rank > 0; --rank) {
    const std::size_t at = order[rank - 1];
    least = std::min(least, log10_nfas[at] - std::log10(static_cast<double>(rank)));
    shared[at] = least;
  }
  return shared;
}

}  // namespace platewise
