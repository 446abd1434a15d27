#include "platewise/stats/monotone.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace platewise {
namespace {

struct Pool {
  double mean = 0.0;
  double weight = 0.0;
  std::size_t count = 0;
};

// One-sided three-point slope at an end, limited so that the end interval keeps its shape.
double end_slope(double h0, double h1, double chord0, double chord1) {
  const double slope = ((2.0 * h0 + h1) * chord0 - h0 * chord1) / (h0 + h1);
  if (slope * chord0 <= 0.0) return 0.0;
  if (chord0 * chord1 <= 0.0 && std::abs(slope) > 3.0 * std::abs(chord0)) return 3.0 * chord0;
  return slope;
}

double inner_slope(double h0, double h1, double chord0, double chord1) {
  if (chord0 * chord1 <= 0.0) return 0.0;
  const double w0 = 2.0 * h1 + h0;
  const double w1 = h1 + 2.0 * h0;
  return (w0 + w1) / (w0 / chord0 + w1 / chord1);
}

std::vector<double> shape_preserving_slopes(const std::vector<double>& x, const std::vector<double>& y) {
  const std::size_t n = x.size();
  if (n == 1) return {0.0};
  std::vector<double> h(n - 1);
  std::vector<double> chord(n - 1);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    h[i] = x[i + 1] - x[i];
    chord[i] = (y[i + 1] - y[i]) / h[i];
  }
  if (n == 2) return {chord[0], chord[0]};
  std::vector<double> slopes(n);
  slopes.front() = end_slope(h[0], h[1], chord[0], chord[1]);
  slopes.back() = end_slope(h[n - 2], h[n - 3], chord[n - 2], chord[n - 3]);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    slopes[i] = inner_slope(h[i - 1], h[i], chord[i - 1], chord[i]);
  }
  return slopes;
}

}  // namespace

std::vector<double> isotonic(std::span<const double> values, std::span<const double> weights) {
  assert(weights.empty() || weights.size() == values.size());
  std::vector<Pool> pools;
  for (std::size_t i = 0; i < values.size(); ++i) {
    pools.push_back({values[i], weights.empty() ? 1.0 : weights[i], 1});
    while (pools.size() > 1 && pools[pools.size() - 2].mean >= pools.back().mean) {
      const Pool last = pools.back();
      pools.pop_back();
      Pool& pool = pools.back();
      const double weight = pool.weight + last.weight;
      pool.mean = (pool.mean * pool.weight + last.mean * last.weight) / weight;
      pool.weight = weight;
      pool.count += last.count;
    }
  }
  std::vector<double> fit;
  fit.reserve(values.size());
  for (const Pool& pool : pools) fit.insert(fit.end(), pool.count, pool.mean);
  return fit;
}

MonotoneCubic::MonotoneCubic(std::vector<double> x, std::vector<double> y)
    : x_(std::move(x)), y_(std::move(y)) {
  assert(!x_.empty() && x_.size() == y_.size());
  assert(std::adjacent_find(x_.begin(), x_.end(), std::greater_equal<>()) == x_.end());
  slopes_ = shape_preserving_slopes(x_, y_);
}

std::size_t MonotoneCubic::interval(double x) const {
  const auto above = std::upper_bound(x_.begin() + 1, x_.end() - 1, x);
  return static_cast<std::size_t>(above - x_.begin()) - 1;
}

double MonotoneCubic::operator()(double x) const {
  if (x <= x_.front()) return y_.front() + slopes_.front() * (x - x_.front());
  if (x >= x_.back()) return y_.back() + slopes_.back() * (x - x_.back());
  const std::size_t i = interval(x);
  const double h = x_[i + 1] - x_[i];
  const double t = (x - x_[i]) / h;
  const double s = 1.0 - t;
  return y_[i] * s * s * (1.0 + 2.0 * t) + y_[i + 1] * t * t * (3.0 - 2.0 * t) +
         h * t * s * (slopes_[i] * s - slopes_[i + 1] * t);
}

double MonotoneCubic::slope(double x) const {
  if (x <= x_.front()) return slopes_.front();
  if (x >= x_.back()) return slopes_.back();
  const std::size_t i = interval(x);
  const double h = x_[i + 1] - x_[i];
  const double t = (x - x_[i]) / h;
  return 6.0 * t * (1.0 - t) * (y_[i + 1] - y_[i]) / h + slopes_[i] * (1.0 - t) * (1.0 - 3.0 * t) +
         slopes_[i + 1] * t * (3.0 * t - 2.0);
}

std::optional<double> MonotoneCubic::inverse(double y) const {
  const bool rising = y_.back() >= y_.front();
  if (rising ? y < y_.front() || y > y_.back() : y > y_.front() || y < y_.back()) return std::nullopt;
  double low = x_.front();
  double high = x_.back();
  constexpr int kBisections = 100;  // beyond the resolution of a double
  for (int i = 0; i < kBisections && low < high; ++i) {
    const double middle = 0.5 * (low + high);
    ((*this)(middle) < y) == rising ? low = middle : high = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace platewise
