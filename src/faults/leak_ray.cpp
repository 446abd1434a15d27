#include "leak_ray.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kMostOffDeg = 8;
constexpr int kTurnStepDeg = 2;
constexpr double kStepUnits = 0.5;
constexpr double kFadedShare = 0.25;
constexpr double kFirstUnits = 5.0;
// Of the plate's short side. A plume fades, and the scene hides or feigns its end (common practice, no
// source).
constexpr double kLeastShare = 0.3;
constexpr double kFarthestShare = 0.6;

std::optional<double> mean_beside(const Evidence& evidence, cv::Point2d at, cv::Point2d across, double from,
                                  double to) {
  double sum = 0.0;
  int count = 0;
  const double k = evidence.px_per_unit;
  for (double v = from; v <= to; v += 2.0 / k) {
    const cv::Point px((at + v * across) * k);
    if (px.x < 0 || px.y < 0 || px.x >= evidence.silver.cols || px.y >= evidence.silver.rows ||
        evidence.regions->film.inside.at<std::uint8_t>(px) == 0)
      continue;
    sum += static_cast<double>(evidence.silver.at<float>(px));
    ++count;
  }
  if (count == 0) return std::nullopt;
  return sum / count;
}

// How much lighter the lit side is, step by step.
std::vector<double> rises(const Evidence& evidence, cv::Point2d root, cv::Point2d direction,
                          cv::Point2d lit_across, double farthest) {
  std::vector<double> along;
  for (double u = 0.0; u < farthest; u += kStepUnits) {
    const cv::Point2d at = root + u * direction;
    const auto lit = mean_beside(evidence, at, lit_across, 0.4, 1.6);
    const auto dark = mean_beside(evidence, at, lit_across, -2.2, -1.0);
    if (!lit || !dark) break;
    along.push_back(*lit - *dark);
  }
  return along;
}

// Sum of the rises over a fair share of the first ones, up to where it is greatest: a bright thing of the
// picture may not outvote the rest.
struct Reached {
  double units = 0.0;
  double worth = 0.0;
  double difference = 0.0;
};
Reached reached(const std::vector<double>& rises, double first_level) {
  Reached best;
  double sum = 0.0;
  std::size_t steps = 0;
  const double level = kFadedShare * first_level;
  for (std::size_t i = 0; i < rises.size(); ++i) {
    sum += std::clamp(rises[i] - level, -2.0 * level, 3.0 * level);
    if (sum <= best.worth) continue;
    best.worth = sum;
    steps = i + 1;
  }
  best.units = static_cast<double>(steps) * kStepUnits;
  if (steps > 0)
    best.difference =
        median(std::vector<double>(rises.begin(), rises.begin() + static_cast<std::ptrdiff_t>(steps)));
  return best;
}

}  // namespace

LeakRay leak_ray(const Evidence& evidence, const RimPlume& plume) {
  const auto vector_of = [&](double along, double inward) {
    return on_side(evidence, plume.side, along, inward) - on_side(evidence, plume.side, 0.0, 0.0);
  };
  const cv::Point2d lit = (plume.hard_at_from ? 1.0 : -1.0) * vector_of(1.0, 0.0);
  const double short_side = std::min(evidence.silver.cols, evidence.silver.rows) / evidence.px_per_unit;
  const double rim = plume.inner + 1.0;
  LeakRay best{.root = on_side(evidence, plume.side, plume.hard, 0.0)};
  const double seen_turn = std::atan(plume.turn);
  double best_worth = -1.0;
  for (int off = -kMostOffDeg; off <= kMostOffDeg; off += kTurnStepDeg) {
    const double turn = seen_turn + off * std::numbers::pi / 180.0;
    const cv::Point2d direction = vector_of(std::sin(turn), std::cos(turn));
    cv::Point2d across(-direction.y, direction.x);
    if (across.dot(lit) < 0) across = -across;
    const std::vector<double> all =
        rises(evidence, best.root + rim * direction, direction, across, kFarthestShare * short_side);
    const auto first_steps = static_cast<std::size_t>(kFirstUnits / kStepUnits);
    if (all.size() < first_steps) continue;
    const std::vector<double> first(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(first_steps));
    const Reached seen = reached(all, std::max(0.1 * plume.level, median(first)));
    // The rim has said the direction already: the picture may only refine it.
    const double worth = seen.worth * (1.0 - std::abs(off) / (2.0 * kMostOffDeg));
    if (worth <= best_worth) continue;
    best_worth = worth;
    best.direction = direction;
    best.reach = seen.units + rim;
    best.difference = seen.difference;
  }
  if (best_worth < 0.0) best.direction = vector_of(std::sin(seen_turn), std::cos(seen_turn));
  best.reach = std::max(best.reach, kLeastShare * short_side);
  return best;
}

}  // namespace platewise
