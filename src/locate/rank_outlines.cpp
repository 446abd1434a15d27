#include "rank_outlines.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "ring_between.h"

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

// By how much an outer outline may be worse than the best one.
struct Allowance {
  double quality_lost;   // a faint outer edge scores lower than a strong inner one
  double more_going_on;  // a plate's edge ends at its corners, a board's joint does not
  double least_support;
};
constexpr Allowance kRimPossible{0.06, 0.01, kSideSeen};
// The grain of a table goes on beyond any corner, and a rim on a black bed steps little.
constexpr Allowance kRimSeen{0.10, 0.05, 0.8 * kSideSeen};
constexpr Allowance kRimAllRound{0.20, 0.10, 0.8 * kSideSeen};

const Allowance& allowance(Ring ring) {
  if (ring == Ring::plate_all_round) return kRimAllRound;
  return ring == Ring::plate ? kRimSeen : kRimPossible;
}

bool is_as_good(const OutlineCandidate& c, const OutlineCandidate& best, const Allowance& allowed) {
  return c.quality >= best.quality - allowed.quality_lost &&
         c.going_on <= best.going_on + allowed.more_going_on &&
         least_support(c) >= std::min(allowed.least_support, least_support(best));
}

std::ptrdiff_t sides_at_frame(const OutlineCandidate& c) {
  return std::count(c.at_frame.begin(), c.at_frame.end(), true);
}

// Round the best outline at a rim's width, and parallel: the holder's opening follows the plate.
bool lies_round(const OutlineCandidate& c, const OutlineCandidate& best) {
  constexpr double kWidestRim = 0.14;  // of the plate's side, at each corner
  constexpr double kSlack_px = 3.0;
  constexpr double kParallel_deg = 2.0;
  if (!c.reaches_over && sides_at_frame(c) > sides_at_frame(best)) return false;
  if (widest_angle_deg(c.corners, best.corners) > kParallel_deg) return false;
  double farthest = 0.0;
  for (std::size_t k = 0; k < 4; ++k) farthest = std::max(farthest, distance(c.corners[k], best.corners[k]));
  return farthest < kWidestRim * std::sqrt(2.0 * area(best.corners)) &&
         holds(c.corners, best.corners, kSlack_px);
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

void put_outermost_first(std::vector<OutlineCandidate>& candidates, const SearchImage& search) {
  if (candidates.empty()) return;
  std::size_t outermost = 0;
  for (std::size_t i = 1; i < candidates.size(); ++i) {
    const OutlineCandidate& c = candidates[i];
    const OutlineCandidate& best = candidates[0];
    if (area(c.corners) <= area(candidates[outermost].corners) || !lies_round(c, best)) continue;
    const Ring ring = ring_between(search, c.corners, best.corners);
    if (ring != Ring::ground && is_as_good(c, best, allowance(ring))) outermost = i;
  }
  std::rotate(candidates.begin(), candidates.begin() + static_cast<std::ptrdiff_t>(outermost),
              candidates.begin() + static_cast<std::ptrdiff_t>(outermost) + 1);
}

}  // namespace platewise
