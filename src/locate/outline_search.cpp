#include "outline_search.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

#include "overhang.h"
#include "rank_outlines.h"
#include "side_fits.h"
#include "two_in_line.h"

namespace platewise {
namespace {

constexpr std::size_t kLinesTried = 80;  // each way, by their votes
constexpr double kLeastArea = 0.06;      // of the picture
constexpr double kGreatestAspect = 3.5;

constexpr double kWorthMoving = 0.08;  // of quality below the best

constexpr int kMostAtFrame = 2;  // sides of a plate that overhangs the scan

// So many quadrilaterals are tried that one in a picture reaches this by chance (log of 24^4 / 4).
constexpr double kByChance = 11.3;

double angle_deg(Point a, Point corner, Point b) {
  const Point u = a - corner;
  const Point v = b - corner;
  const double cosine = (u.x * v.x + u.y * v.y) / (std::hypot(u.x, u.y) * std::hypot(v.x, v.y));
  return std::acos(std::clamp(cosine, -1.0, 1.0)) * 180.0 / std::numbers::pi;
}

// Flatbed outlines have right angles; a camera's perspective may bend them far.
double shape_cost(const Quad& corners) {
  constexpr double kCutting_deg = 1.5;  // hand-cut plates (common practice)
  constexpr double kMostCost = 12.0;    // then it is perspective, dearer but possible
  constexpr double kSteepest_deg = 30.0;
  constexpr double kImpossible = 1e9;
  double worst = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    worst =
        std::max(worst, std::abs(angle_deg(corners[(i + 3) % 4], corners[i], corners[(i + 1) % 4]) - 90.0));
  }
  if (worst > kSteepest_deg) return kImpossible;
  const double off = worst / kCutting_deg;
  return kMostCost * off * off / (off * off + 8.0) + worst;
}

bool plausible_size(const Quad& c, double picture_area) {
  const double width = 0.5 * (distance(c[0], c[1]) + distance(c[3], c[2]));
  const double height = 0.5 * (distance(c[0], c[3]) + distance(c[1], c[2]));
  const double aspect = std::max(width, height) / std::max(1e-9, std::min(width, height));
  return area(c) >= kLeastArea * picture_area && aspect <= kGreatestAspect && is_convex(c);
}

// Sums the four sides up; false when chance explains the quadrilateral.
bool add_up(OutlineCandidate& candidate, const std::array<const SideFit*, 4>& fits) {
  double if_seen = 0.0;
  double going_on = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    candidate.support[i] = fits[i]->support;
    candidate.log_likelihood += fits[i]->log_likelihood;
    if_seen += fits[i]->log_likelihood_if_seen;
    going_on += fits[i]->going_on;
  }
  if (candidate.log_likelihood <= kByChance) return false;
  const Quad& c = candidate.corners;
  if (c[0].x >= c[1].x || c[3].x >= c[2].x || c[0].y >= c[3].y || c[1].y >= c[2].y) return false;
  candidate.log_likelihood -= shape_cost(c);
  candidate.quality = candidate.log_likelihood / if_seen;
  candidate.going_on = going_on / if_seen;
  return candidate.log_likelihood > kByChance;
}

}  // namespace

int OutlineCandidate::sides_seen() const {
  int seen = 0;
  for (std::size_t i = 0; i < 4; ++i) seen += !at_frame[i] && support[i] >= kSideSeen;
  return seen;
}

std::vector<OutlineCandidate> outline_candidates(const SearchImage& search) {
  const StraightLines lines = straight_lines(search, kLinesTried);
  const EdgeWeights level_weights = weights_of(search, false);
  const EdgeWeights steep_weights = weights_of(search, true);
  const std::vector<Side> level = sides_of(search, lines.level, false, level_weights);
  const std::vector<Side> steep = sides_of(search, lines.steep, true, steep_weights);
  const double picture_area = static_cast<double>(search.rows()) * search.cols();
  const Crossings crossing = crossings(level, steep);
  const SideFits fits = side_fits(level, steep, crossing, level_weights, steep_weights);
  std::vector<OutlineCandidate> candidates;
  for (std::size_t top = 0; top < level.size(); ++top) {
    for (std::size_t bottom = top + 1; bottom < level.size(); ++bottom) {
      for (std::size_t left = 0; left < steep.size(); ++left) {
        for (std::size_t right = left + 1; right < steep.size(); ++right) {
          OutlineCandidate candidate;
          candidate.at_frame = {level[top].frame, steep[right].frame, level[bottom].frame, steep[left].frame};
          if (std::count(candidate.at_frame.begin(), candidate.at_frame.end(), true) > kMostAtFrame) continue;
          candidate.corners = {crossing[top][left], crossing[top][right], crossing[bottom][right],
                               crossing[bottom][left]};
          if (add_up(candidate, {&fits.top(top, left, right), &fits.right(right, top, bottom),
                                 &fits.bottom(bottom, left, right), &fits.left(left, top, bottom)}) &&
              plausible_size(candidate.corners, picture_area)) {
            candidates.push_back(candidate);
          }
        }
      }
    }
  }
  keep_best(candidates);
  drop_spans(candidates, search);
  for (OutlineCandidate& candidate : candidates) {
    if (candidate.quality > candidates.front().quality - kWorthMoving) end_at_frame(candidate, search);
  }
  put_outermost_first(candidates, search);
  return candidates;
}

}  // namespace platewise
