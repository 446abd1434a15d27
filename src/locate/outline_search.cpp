#include "outline_search.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>

#include "side_evidence.h"
#include "straight_lines.h"

namespace platewise {
namespace {

constexpr std::size_t kLinesTried = 80;    // each way, by their votes
constexpr std::size_t kLinesEachWay = 28;  // of these, by their evidence
constexpr double kIndependent_px = 6.0;  // neighbouring places along an edge tell the same: count one in six
constexpr double kSupportOfTrueSide = 0.9;
constexpr double kSeen = 0.5;        // of a side supported: the side is seen
constexpr double kLeastArea = 0.06;  // of the picture
constexpr double kGreatestAspect = 3.5;
constexpr double kEnds = 0.05;    // of a side left out at each end: corners are rounded, clipped, broken
constexpr double kBeyond = 0.15;  // of a side looked at beyond each corner: a plate's edge stops there

constexpr std::size_t kKept = 400;
constexpr int kMostAtFrame = 2;  // sides of a plate that overhangs the scan

// So many quadrilaterals are tried that one in a picture reaches this by chance (log of 24^4 / 4).
constexpr double kByChance = 11.3;
// A larger outline of the same quality is likelier to be the plate than something in its picture.
constexpr double kSizeMatters = 0.10;  // of quality, per e-fold of area

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

// Among nested outlines that lie within a rim's width of the best one, the outermost comes first: the rim's
// inner edge is as straight as the plate's own and often stronger.
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
    if (std::count(c.at_frame.begin(), c.at_frame.end(), true) >
        std::count(best.at_frame.begin(), best.at_frame.end(), true))
      continue;
    if (*std::min_element(c.support.begin(), c.support.end()) <
        std::min(kSeen, *std::min_element(best.support.begin(), best.support.end())))
      continue;
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

// Largest distance between the ends of one side of two outlines.
double side_apart(const Quad& a, const Quad& b, std::size_t side) {
  return std::max(distance(a[side], b[side]), distance(a[(side + 1) % 4], b[(side + 1) % 4]));
}

double middle_lightness(const cv::Mat& lightness, Point from, Point to) {
  constexpr int kPlaces = 41;
  std::vector<float> tones;
  for (int i = 0; i < kPlaces; ++i) {
    const Point p = from + ((i + 0.5) / kPlaces) * (to - from);
    const int x = std::clamp(static_cast<int>(p.x), 0, lightness.cols - 1);
    const int y = std::clamp(static_cast<int>(p.y), 0, lightness.rows - 1);
    tones.push_back(lightness.at<float>(y, x));
  }
  std::nth_element(tones.begin(), tones.begin() + kPlaces / 2, tones.end());
  return static_cast<double>(tones[kPlaces / 2]);
}

// Two plates in line look like one from outside: the outline has the outer sides of both, and the ground runs
// through between them.
bool spans(const Quad& whole, const Quad& first, const Quad& second, bool beside, const cv::Mat& lightness,
           double noise) {
  constexpr double kSame = 0.02;      // of the diagonal
  constexpr double kSameTone = 0.04;  // relative lightness, beside the noise
  constexpr double kNoiseSigmas = 4.0;
  constexpr double kOutside_px = 4.0;
  const std::size_t near = beside ? 3 : 0;  // the first one's outer side; the second's lies opposite
  const std::size_t far = (near + 2) % 4;
  const double reach = kSame * distance(whole[0], whole[2]);
  if (side_apart(whole, first, near) > reach || side_apart(whole, second, far) > reach) return false;
  // The gap runs between the first's far side and the second's near side.
  const Point a = 0.5 * (first[far] + second[(near + 1) % 4]);
  const Point b = 0.5 * (first[(far + 1) % 4] + second[near]);
  const double gap =
      0.5 * (distance(first[far], second[(near + 1) % 4]) + distance(first[(far + 1) % 4], second[near]));
  if (gap < 2.0 || gap > 0.3 * distance(whole[0], whole[2])) return false;
  const double between = middle_lightness(lightness, a, b);
  const Point across = kOutside_px / std::max(1.0, distance(first[far], second[(near + 1) % 4])) *
                       (first[far] - second[(near + 1) % 4]);
  const double outside = middle_lightness(lightness, whole[near] + across, whole[(near + 1) % 4] + across);
  return std::abs(between - outside) < kSameTone * outside + kNoiseSigmas * noise;
}

bool spans_two_plates(const Quad& whole, const std::vector<const OutlineCandidate*>& sure,
                      const cv::Mat& lightness, double noise) {
  for (const bool beside : {true, false}) {
    for (const OutlineCandidate* first : sure) {
      for (const OutlineCandidate* second : sure) {
        const bool apart =
            beside ? first->corners[1].x < second->corners[0].x && first->corners[2].x < second->corners[3].x
                   : first->corners[3].y < second->corners[0].y && first->corners[2].y < second->corners[1].y;
        if (apart && spans(whole, first->corners, second->corners, beside, lightness, noise)) return true;
      }
    }
  }
  return false;
}

// Takes off the top what two plates in line look like together.
void drop_spans(std::vector<OutlineCandidate>& candidates, const SearchImage& search) {
  constexpr double kSure = 0.7;
  constexpr std::size_t kMostSure = 120;
  cv::Mat lightness;
  cv::extractChannel(search.lightness, lightness, search.lightness.channels() / 2);
  std::vector<const OutlineCandidate*> sure;
  for (const OutlineCandidate& candidate : candidates) {
    if (candidate.sides_seen() == 4 && candidate.quality > kSure && sure.size() < kMostSure)
      sure.push_back(&candidate);
  }
  std::size_t whole = 0;
  while (whole < candidates.size() &&
         spans_two_plates(candidates[whole].corners, sure, lightness, search.noise))
    ++whole;
  candidates.erase(candidates.begin(), candidates.begin() + static_cast<std::ptrdiff_t>(whole));
}

}  // namespace

int OutlineCandidate::sides_seen() const {
  int seen = 0;
  for (std::size_t i = 0; i < 4; ++i) seen += !at_frame[i] && support[i] >= kSeen;
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
  put_outermost_first(candidates);
  return candidates;
}

}  // namespace platewise
