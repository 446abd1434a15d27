#include "histogram.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

constexpr double kBin = 0.02;
constexpr int kUsualFrom = 0;  // in bins
constexpr int kUsualTo = 100;
constexpr int kFurthestFrom = -50;  // -1 D: nothing is lighter, whatever the offset
constexpr int kFurthestTo = 250;    // 5 D

}  // namespace

DensityHistogram density_histogram(const std::vector<double>& densities) {
  DensityHistogram histogram;
  if (densities.empty()) return histogram;
  const auto bin_of = [](double density) { return static_cast<int>(std::floor(density / kBin)); };
  const auto [least, most] = std::minmax_element(densities.begin(), densities.end());
  const int from = std::clamp(bin_of(*least), kFurthestFrom, kUsualFrom);
  const int to = std::clamp(bin_of(*most) + 1, kUsualTo, kFurthestTo);
  for (int bin = from; bin <= to; ++bin) histogram.edges.push_back(bin * kBin);
  histogram.share.assign(static_cast<std::size_t>(to - from), 0.0);
  for (const double density : densities) {
    const int bin = std::clamp(bin_of(density), from, to - 1) - from;
    histogram.share[static_cast<std::size_t>(bin)] += 1.0 / static_cast<double>(densities.size());
  }
  return histogram;
}

}  // namespace platewise
