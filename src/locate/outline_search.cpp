#include "outline_search.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

#include "overhang.h"
#include "rank_outlines.h"
#include "side_evidence.h"
#include "straight_lines.h"
#include "two_in_line.h"

namespace platewise {
namespace {

constexpr std::size_t kLinesTried = 80;    // each way, by their votes
constexpr std::size_t kLinesEachWay = 28;  // of these, by their evidence
constexpr double kIndependent_px = 6.0;  // neighbouring places along an edge tell the same: count one in six
constexpr double kSupportOfTrueSide = 0.9;
constexpr double kLeastArea = 0.06;  // of the picture
constexpr double kGreatestAspect = 3.5;
constexpr double kEnds = 0.05;    // of a side left out at each end: corners are rounded, clipped, broken
constexpr double kBeyond = 0.15;  // of a side looked at beyond each corner: a plate's edge stops there

constexpr double kWorthMoving = 0.08;  // of quality below the best

constexpr int kMostAtFrame = 2;  // sides of a plate that overhangs the scan

// So many quadrilaterals are tried that one in a picture reaches this by chance (log of 24^4 / 4).
constexpr double kByChance = 11.3;

struct Side {
  SideEvidence evidence;
  bool frame = false;
};

// How often a line laid anywhere over this very picture looks like an edge. Level and steep apart: the grain
// of a wooden table makes one of them worth little.
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

struct SideFit {
  double log_likelihood = 0.0;
  double support = 0.0;
  double going_on = 0.0;                // log likelihood lost by what continues beyond the corners
  double log_likelihood_if_seen = 0.0;  // what it would be were every place seen
};

SideFit fit_of(const Side& side, bool outside_after, double from, double to, const EdgeWeights& weights) {
  const double length = to - from;
  const double inset = kEnds * length;
  SideFit fit;
  fit.log_likelihood_if_seen = (length - 2 * inset) / kIndependent_px * weights.supported;
  if (side.frame) return fit;
  const auto own = side.evidence.count(outside_after, from + inset, to - inset);
  fit.support = own.share();
  fit.log_likelihood =
      (own.supported * weights.supported + (own.asked - own.supported) * weights.unsupported);
  const double gap = 4.0 + 0.01 * length;
  const double continued =
      side.evidence.count(outside_after, from - gap - kBeyond * length, from - gap).supported +
      side.evidence.count(outside_after, to + gap, to + gap + kBeyond * length).supported;
  fit.going_on = continued * weights.supported / kIndependent_px;
  fit.log_likelihood = fit.log_likelihood / kIndependent_px - fit.going_on;
  return fit;
}

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

using Crossings = std::vector<std::vector<Point>>;  // of each level line with each steep one

Crossings crossings(const std::vector<Side>& level, const std::vector<Side>& steep) {
  Crossings crossing(level.size());
  for (std::size_t l = 0; l < level.size(); ++l) {
    for (const Side& side : steep)
      crossing[l].push_back(intersection(level[l].evidence.line(), side.evidence.line()));
  }
  return crossing;
}

// How well each line serves as a side between each two that cross it.
class SideFits {
 public:
  SideFits(std::size_t level, std::size_t steep)
      : level_(level),
        steep_(steep),
        level_fits_{std::vector<SideFit>(level * steep * steep), std::vector<SideFit>(level * steep * steep)},
        steep_fits_{std::vector<SideFit>(steep * level * level),
                    std::vector<SideFit>(steep * level * level)} {}
  SideFit& of_level(bool after, std::size_t line, std::size_t from, std::size_t to) {
    return level_fits_[after ? 1 : 0][(line * steep_ + from) * steep_ + to];
  }
  SideFit& of_steep(bool after, std::size_t line, std::size_t from, std::size_t to) {
    return steep_fits_[after ? 1 : 0][(line * level_ + from) * level_ + to];
  }
  [[nodiscard]] const SideFit& top(std::size_t line, std::size_t left, std::size_t right) const {
    return level_fits_[0][(line * steep_ + left) * steep_ + right];
  }
  [[nodiscard]] const SideFit& bottom(std::size_t line, std::size_t left, std::size_t right) const {
    return level_fits_[1][(line * steep_ + left) * steep_ + right];
  }
  [[nodiscard]] const SideFit& left(std::size_t line, std::size_t top, std::size_t bottom) const {
    return steep_fits_[0][(line * level_ + top) * level_ + bottom];
  }
  [[nodiscard]] const SideFit& right(std::size_t line, std::size_t top, std::size_t bottom) const {
    return steep_fits_[1][(line * level_ + top) * level_ + bottom];
  }

 private:
  std::size_t level_;
  std::size_t steep_;
  std::vector<SideFit> level_fits_[2];  // ground above, ground below
  std::vector<SideFit> steep_fits_[2];  // ground to the left, to the right
};

SideFits side_fits(const std::vector<Side>& level, const std::vector<Side>& steep, const Crossings& crossing,
                   const EdgeWeights& level_weights, const EdgeWeights& steep_weights) {
  SideFits fits(level.size(), steep.size());
  for (const bool after : {false, true}) {
    for (std::size_t l = 0; l < level.size(); ++l) {
      for (std::size_t from = 0; from < steep.size(); ++from) {
        for (std::size_t to = from + 1; to < steep.size(); ++to) {
          fits.of_level(after, l, from, to) =
              fit_of(level[l], after, crossing[l][from].x, crossing[l][to].x, level_weights);
        }
      }
    }
    for (std::size_t s = 0; s < steep.size(); ++s) {
      for (std::size_t from = 0; from < level.size(); ++from) {
        for (std::size_t to = from + 1; to < level.size(); ++to) {
          fits.of_steep(after, s, from, to) =
              fit_of(steep[s], after, crossing[from][s].y, crossing[to][s].y, steep_weights);
        }
      }
    }
  }
  return fits;
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
  put_outermost_first(candidates);
  return candidates;
}

}  // namespace platewise
