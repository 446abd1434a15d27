#include "platewise/stats/control_chart.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace platewise {
namespace {

constexpr double kMeanRangeOfTwo = 1.128;  // d2 for n = 2, as the e-Handbook rounds it

bool holds(std::span<const double> z, std::size_t last, std::size_t window, std::size_t needed,
           double beyond) {
  const std::size_t count = std::min(window, last + 1);
  if (count < needed) return false;
  const auto part = z.subspan(last + 1 - count, count);
  const auto above = std::count_if(part.begin(), part.end(), [&](double v) { return v > beyond; });
  const auto below = std::count_if(part.begin(), part.end(), [&](double v) { return v < -beyond; });
  return static_cast<std::size_t>(std::max(above, below)) >= needed;
}

struct RunRule {
  int number;
  std::size_t window;
  std::size_t needed;
  double beyond_sigma;
};
constexpr std::array kRunRules{RunRule{1, 1, 1, 3.0}, RunRule{2, 3, 2, 2.0}, RunRule{3, 5, 4, 1.0},
                               RunRule{4, 8, 8, 0.0}};

}  // namespace

ChartLimits individuals_limits(std::span<const double> values) {
  if (values.empty()) return {};
  ChartLimits limits;
  limits.centre = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
  if (values.size() < 2) return limits;
  double ranges = 0.0;
  for (std::size_t i = 1; i < values.size(); ++i) ranges += std::abs(values[i] - values[i - 1]);
  limits.sigma = ranges / static_cast<double>(values.size() - 1) / kMeanRangeOfTwo;
  return limits;
}

std::vector<ChartSignal> western_electric(std::span<const double> values, const ChartLimits& limits) {
  std::vector<ChartSignal> signals;
  if (limits.sigma <= 0) return signals;
  std::vector<double> z;
  for (const double value : values) z.push_back((value - limits.centre) / limits.sigma);
  for (const RunRule& rule : kRunRules) {
    bool before = false;
    for (std::size_t i = 0; i < z.size(); ++i) {
      const bool now = holds(z, i, rule.window, rule.needed, rule.beyond_sigma);
      if (now && !before) signals.push_back({i, rule.number});
      before = now;
    }
  }
  std::sort(signals.begin(), signals.end(), [](const ChartSignal& a, const ChartSignal& b) {
    return a.index != b.index ? a.index < b.index : a.rule < b.rule;
  });
  return signals;
}

std::vector<double> ewma(std::span<const double> values, double lambda, double start) {
  std::vector<double> averages;
  double average = start;
  for (const double value : values) averages.push_back(average = lambda * value + (1.0 - lambda) * average);
  return averages;
}

double ewma_half_width(double sigma, double lambda, double l, std::size_t i) {
  return l * sigma *
         std::sqrt(lambda / (2.0 - lambda) * (1.0 - std::pow(1.0 - lambda, 2.0 * static_cast<double>(i))));
}

}  // namespace platewise
