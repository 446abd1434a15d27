#include "rank_outlines.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace platewise {
namespace {

constexpr std::size_t kKept = 400;
// A larger outline of the same quality is likelier to be the plate than something in its picture.
constexpr double kSizeMatters = 0.10;  // of quality, per e-fold of area

bool holds(const Quad& outer, const Quad& inner, double slack) {
  for (const Point p : inner) {
    for (std::size_t i = 0; i < 4; ++i) {
      const Point a = outer[i];
      const Point b = outer[(i + 1) % 4];
      const double inside = ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / distance(a, b);
      if (inside < -slack) return false;
    }
  }
  return true;
}

// Largest angle between corresponding sides.
double widest_angle_deg(const Quad& a, const Quad& b) {
  double widest = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    const Point u = a[(i + 1) % 4] - a[i];
    const Point v = b[(i + 1) % 4] - b[i];
    widest = std::max(widest, std::abs(std::atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y)));
  }
  return widest * 180.0 / std::numbers::pi;
}

// Of the sides that have an edge at all.
double least_support(const OutlineCandidate& candidate) {
  double least = 1.0;
  for (std::size_t side = 0; side < 4; ++side) {
    const bool none = candidate.reaches_over && candidate.at_frame[side];
    if (!none) least = std::min(least, candidate.support[side]);
  }
  return least;
}

}  // namespace

void keep_best(std::vector<OutlineCandidate>& candidates) {
  const auto better = [](const OutlineCandidate& a, const OutlineCandidate& b) {
    const auto worth = [](const OutlineCandidate& c) {
      return c.quality + kSizeMatters * std::log(std::max(1.0, area(c.corners)));
    };
    return worth(a) > worth(b);
  };
  std::stable_sort(candidates.begin(), candidates.end(), better);
  if (candidates.size() > kKept) candidates.resize(kKept);
}

void put_outermost_first(std::vector<OutlineCandidate>& candidates) {
  if (candidates.empty()) return;
  constexpr double kWidestRim = 0.14;    // of the plate's side, at each corner
  constexpr double kQualityLost = 0.06;  // a faint outer edge scores lower than a strong inner one
  constexpr double kMoreGoingOn = 0.01;  // but a plate's edge ends at its corners, a board's joint does not
  constexpr double kSlack_px = 3.0;
  constexpr double kParallel_deg = 2.0;  // the holder's opening follows the plate
  std::size_t outermost = 0;
  for (std::size_t i = 1; i < candidates.size(); ++i) {
    const OutlineCandidate& c = candidates[i];
    const OutlineCandidate& best = candidates[0];
    if (c.quality < best.quality - kQualityLost || c.going_on > best.going_on + kMoreGoingOn ||
        area(c.corners) <= area(candidates[outermost].corners))
      continue;
    if (!c.reaches_over && std::count(c.at_frame.begin(), c.at_frame.end(), true) >
                               std::count(best.at_frame.begin(), best.at_frame.end(), true))
      continue;
    if (least_support(c) < std::min(kSideSeen, least_support(best))) continue;
    if (widest_angle_deg(c.corners, best.corners) > kParallel_deg) continue;
    double farthest = 0.0;
    for (std::size_t k = 0; k < 4; ++k)
      farthest = std::max(farthest, distance(c.corners[k], best.corners[k]));
    const double reach = kWidestRim * 1.41 * std::sqrt(area(best.corners));
    if (farthest < reach && holds(c.corners, best.corners, kSlack_px)) outermost = i;
  }
  std::rotate(candidates.begin(), candidates.begin() + static_cast<std::ptrdiff_t>(outermost),
              candidates.begin() + static_cast<std::ptrdiff_t>(outermost) + 1);
}

}  // namespace platewise
