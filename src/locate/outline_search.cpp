#include "outline_search.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "side_evidence.h"
#include "straight_lines.h"

namespace platewise {
namespace {

constexpr std::size_t kLinesEachWay = 26;
constexpr double kIndependent_px = 6.0;  // neighbouring places along an edge tell the same: count one in six
constexpr double kSupportOfTrueSide = 0.9;
constexpr double kSeen = 0.5;         // of a side supported: the side is seen
constexpr double kLeastArea = 0.06;   // of the picture
constexpr double kGreatestAspect = 3.5;
constexpr double kEnds = 0.05;        // of a side left out at each end: corners are rounded, clipped, broken
constexpr double kBeyond = 0.15;      // of a side looked at beyond each corner: a plate's edge stops there

constexpr std::size_t kKept = 400;

struct Side {
  SideEvidence evidence;
  bool frame = false;
};

// log likelihood ratios of a supported and an unsupported place.
struct Weights {
  double supported = 0.0;
  double unsupported = 0.0;
};

// How often a line laid anywhere over this very picture looks like an edge.
Weights weights_of(const SearchImage& search) {
  constexpr int kProbes = 12;
  double sum = 0.0;
  for (int i = 1; i <= kProbes; ++i) {
    const double at = static_cast<double>(i) / (kProbes + 1);
    const SideEvidence level(search, {false, at * search.rows(), 0.0});
    const SideEvidence steep(search, {true, at * search.cols(), 0.0});
    for (const bool after : {false, true}) {
      sum += level.share(after, 0, level.length()) + steep.share(after, 0, steep.length());
    }
  }
  const double by_chance = std::clamp(sum / (4 * kProbes), 0.05, 0.7);
  return {std::log(kSupportOfTrueSide / by_chance), std::log((1 - kSupportOfTrueSide) / (1 - by_chance))};
}

struct SideFit {
  double log_likelihood = 0.0;
  double support = 0.0;
};

SideFit fit_of(const Side& side, bool outside_after, double from, double to, const Weights& weights) {
  if (side.frame) return {};
  const double length = to - from;
  const double inset = kEnds * length;
  SideFit fit;
  fit.support = side.evidence.share(outside_after, from + inset, to - inset);
  const double places = (length - 2 * inset) / kIndependent_px;
  fit.log_likelihood =
      places * (fit.support * weights.supported + (1 - fit.support) * weights.unsupported);
  const double limit = side.evidence.length();
  const double gap = 4.0 + 0.01 * length;
  const auto beyond = [&](double a, double b) {
    a = std::clamp(a, 0.0, limit);
    b = std::clamp(b, 0.0, limit);
    return std::max(0.0, b - a) * side.evidence.share(outside_after, a, b);
  };
  const double continued = beyond(from - gap - kBeyond * length, from - gap) +
                           beyond(to + gap, to + gap + kBeyond * length);
  fit.log_likelihood -= continued / kIndependent_px * weights.supported;
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
    worst = std::max(worst,
                     std::abs(angle_deg(corners[(i + 3) % 4], corners[i], corners[(i + 1) % 4]) - 90.0));
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

std::vector<Side> sides_of(const SearchImage& search, const std::vector<Line>& lines, bool steep) {
  std::vector<Side> sides;
  for (const Line& line : lines) sides.push_back({SideEvidence(search, line), false});
  const double far = steep ? search.cols() : search.rows();
  for (const double at : {0.0, far}) sides.push_back({SideEvidence(search, {steep, at, 0.0}), true});
  const double middle = (steep ? search.rows() : search.cols()) / 2.0;
  std::stable_sort(sides.begin(), sides.end(), [&](const Side& a, const Side& b) {
    return a.evidence.line().across(middle) < b.evidence.line().across(middle);
  });
  return sides;
}

void keep_best(std::vector<OutlineCandidate>& candidates) {
  const auto better = [](const OutlineCandidate& a, const OutlineCandidate& b) {
    return a.log_likelihood > b.log_likelihood;
  };
  std::stable_sort(candidates.begin(), candidates.end(), better);
  if (candidates.size() > kKept) candidates.resize(kKept);
}

}  // namespace

int OutlineCandidate::sides_seen() const {
  int seen = 0;
  for (std::size_t i = 0; i < 4; ++i) seen += !at_frame[i] && support[i] >= kSeen;
  return seen;
}

std::vector<OutlineCandidate> outline_candidates(const SearchImage& search) {
  const StraightLines lines = straight_lines(search, kLinesEachWay);
  const std::vector<Side> level = sides_of(search, lines.level, false);
  const std::vector<Side> steep = sides_of(search, lines.steep, true);
  const Weights weights = weights_of(search);
  const double picture_area = static_cast<double>(search.rows()) * search.cols();
  std::vector<std::vector<Point>> crossing(level.size());
  for (std::size_t l = 0; l < level.size(); ++l) {
    for (const Side& side : steep)
      crossing[l].push_back(intersection(level[l].evidence.line(), side.evidence.line()));
  }
  std::vector<OutlineCandidate> candidates;
  for (std::size_t top = 0; top < level.size(); ++top) {
    for (std::size_t bottom = top + 1; bottom < level.size(); ++bottom) {
      for (std::size_t left = 0; left < steep.size(); ++left) {
        for (std::size_t right = left + 1; right < steep.size(); ++right) {
          OutlineCandidate candidate;
          candidate.at_frame = {level[top].frame, steep[right].frame, level[bottom].frame,
                                steep[left].frame};
          if (std::count(candidate.at_frame.begin(), candidate.at_frame.end(), true) > 2) continue;
          candidate.corners = {crossing[top][left], crossing[top][right], crossing[bottom][right],
                               crossing[bottom][left]};
          const Quad& c = candidate.corners;
          if (c[0].x >= c[1].x || c[0].y >= c[3].y || !plausible_size(c, picture_area)) continue;
          const std::array<SideFit, 4> fits = {
              fit_of(level[top], false, c[0].x, c[1].x, weights),
              fit_of(steep[right], true, c[1].y, c[2].y, weights),
              fit_of(level[bottom], true, c[3].x, c[2].x, weights),
              fit_of(steep[left], false, c[0].y, c[3].y, weights)};
          for (std::size_t i = 0; i < 4; ++i) {
            candidate.support[i] = fits[i].support;
            candidate.log_likelihood += fits[i].log_likelihood;
          }
          if (candidate.log_likelihood <= 0.0) continue;
          candidate.log_likelihood -= shape_cost(c);
          if (candidate.log_likelihood > 0.0) candidates.push_back(candidate);
        }
      }
    }
  }
  keep_best(candidates);
  return candidates;
}

}  // namespace platewise
