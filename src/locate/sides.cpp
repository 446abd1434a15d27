#include "sides.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

constexpr std::size_t kLinesEachWay = 28;  // of these, by their evidence
constexpr double kSupportOfTrueSide = 0.9;

}  // namespace

EdgeWeights weights_of(const SearchImage& search, bool steep) {
  constexpr int kProbes = 16;
  constexpr double kLeastChance = 0.05;
  constexpr double kMostChance = 0.7;
  double sum = 0.0;
  for (int i = 1; i <= kProbes; ++i) {
    const double at = static_cast<double>(i) / (kProbes + 1) * (steep ? search.cols() : search.rows());
    const SideEvidence probe(search, {steep, at, 0.0});
    for (const bool after : {false, true}) sum += probe.count(after, 0, probe.length()).share();
  }
  const double by_chance = std::clamp(sum / (2 * kProbes), kLeastChance, kMostChance);
  return {std::log(kSupportOfTrueSide / by_chance), std::log((1 - kSupportOfTrueSide) / (1 - by_chance))};
}

std::vector<Side> sides_of(const SearchImage& search, const std::vector<Line>& lines, bool steep,
                           const EdgeWeights& weights) {
  std::vector<std::pair<double, Side>> tried;
  for (const Line& line : lines) {
    Side side{SideEvidence(search, line), false};
    const double value = side.evidence.best_stretch(weights).log_likelihood;
    tried.emplace_back(value, std::move(side));
  }
  std::stable_sort(tried.begin(), tried.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  if (tried.size() > kLinesEachWay) tried.resize(kLinesEachWay, {0.0, tried.front().second});
  std::vector<Side> sides;
  for (const auto& [value, side] : tried) {
    const Line moved = side.evidence.fitted(side.evidence.best_stretch(weights));
    sides.push_back({SideEvidence(search, moved), false});
  }
  const double far = steep ? search.cols() : search.rows();
  for (const double at : {0.0, far}) sides.push_back({SideEvidence(search, {steep, at, 0.0}), true});
  const double middle = (steep ? search.rows() : search.cols()) / 2.0;
  std::stable_sort(sides.begin(), sides.end(), [&](const Side& a, const Side& b) {
    return a.evidence.line().across(middle) < b.evidence.line().across(middle);
  });
  return sides;
}

}  // namespace platewise
