#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "../comet_heads.h"
#include "../comet_tail.h"
#include "../picture_softness.h"
#include "../round_edge.h"
#include "detectors.h"
#include "platewise/stats/nfa.h"

namespace platewise::fault_detectors {
namespace {

constexpr std::size_t kHeadsOfASize = 80;
constexpr double kProposeLog10Nfa = 0.0;
constexpr double kSamePlaceUnits = 1.0;
// What a tail is: all of its steps stand out, it fades and ends, and leaves to one side only. Common practice
// in words, figures set on development plates.
constexpr double kLeastAgreeing = 0.93;
constexpr double kMostFar = 0.55;     // of the contrast near the head
constexpr double kMostBeyond = 0.35;  // of the same
constexpr double kMostOther = 0.6;    // of the tail's score
constexpr double kMostOpposite = 0.4;
constexpr double kLeastScore = 10.0;
// What a head is: round, as hard as the sharpest edges of the picture, plainer than the tail. Smaller ones
// cannot be told from the end of a line.
constexpr double kLeastRadiusPx = 2.5;
constexpr double kMostRadiusUnits = 1.1;
constexpr double kLeastAround = 0.9;
constexpr double kMostUneven = 0.1;  // of the radius
constexpr double kUnevenFloorPx = 0.1;
constexpr double kMostSofter = 1.3;
constexpr double kMostOfLightHead = 0.45;  // the tail's contrast over the head's
constexpr double kMostOfDarkHead = 1.0;
constexpr double kLeastOfLightHead = 0.08;
constexpr double kLeastOfDarkHead = 0.02;
// Decades by which the product of the three shares is too small: what is round and hard is also where lines
// end.
constexpr double kTooSmall = 1.0;
constexpr double kLeastShareDistinct = 0.2;  // a strong head alone makes any line fainter than it
constexpr double kBareShare = 0.04;          // of the film: where it was shaded or torn out nothing is darker
// Tails of one plate share a direction.
constexpr double kSameWay = std::numbers::pi / 18.0;

struct Comet {
  CometHead head;
  CometTail tail;
  std::optional<RoundEdge> edge;
  bool may_be_bare = true;  // of a head with less silver: it has as little as any of the film
  double log10_nfa = 0.0;

  [[nodiscard]] double tail_over_head() const { return edge ? tail.near / edge->contrast : 1e9; }
  [[nodiscard]] double uneven() const { return edge ? edge->uneven_px / edge->radius_px : 1e9; }
};

bool is_tail(const CometTail& tail) {
  return tail.score >= kLeastScore && tail.agreeing >= kLeastAgreeing && tail.far < kMostFar * tail.near &&
         tail.beyond < kMostBeyond * tail.near && tail.other < kMostOther * tail.score &&
         tail.opposite < kMostOpposite * tail.score;
}

bool is_head(const Comet& spot, const Evidence& evidence) {
  if (!spot.edge || !spot.may_be_bare) return false;
  const RoundEdge& edge = *spot.edge;
  return edge.radius_px >= kLeastRadiusPx && edge.radius_px <= kMostRadiusUnits * evidence.px_per_unit &&
         edge.agreeing > kLeastAround && edge.uneven_px < kMostUneven * edge.radius_px + kUnevenFloorPx &&
         edge.softness_px < kMostSofter * lens_softness_px(evidence);
}

bool is_comet(const Comet& spot, const Evidence& evidence) {
  if (!is_tail(spot.tail) || !is_head(spot, evidence)) return false;
  const bool light = spot.head.sign > 0;
  return spot.tail_over_head() > (light ? kLeastOfLightHead : kLeastOfDarkHead) &&
         spot.tail_over_head() < (light ? kMostOfLightHead : kMostOfDarkHead);
}

double apart(const Comet& a, const Comet& b) {
  return cv::norm(a.head.at - b.head.at);
}

std::optional<RoundEdge> edge_of(const Evidence& evidence, const CometHead& head, double turn) {
  const auto first = round_edge(evidence.silver, head.at, head.radius_px, head.sign, turn);
  if (!first || cv::norm(first->middle - cv::Point2d(head.at)) > head.radius_px) return first;
  const auto second = round_edge(evidence.silver, first->middle,
                                 std::min(first->radius_px, 2.0 * head.radius_px), head.sign, turn);
  return second ? second : first;
}

// Silver that only the darkest share of the film has less of.
double darkest(const Evidence& evidence) {
  constexpr int kEvery = 3;
  std::vector<float> values;
  for (int y = 0; y < evidence.silver.rows; y += kEvery)
    for (int x = 0; x < evidence.silver.cols; x += kEvery)
      if (evidence.film.inside.at<std::uint8_t>(y, x) != 0) values.push_back(evidence.silver.at<float>(y, x));
  if (values.empty()) return 0.0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(kBareShare * static_cast<double>(values.size()));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Every spot of the plate with the plainest line of silver that leaves it.
std::vector<Comet> spots_with_lines(const Evidence& evidence) {
  const double bare = darkest(evidence) + 2.0 * evidence.grain;
  std::map<double, cv::Mat> smooth;
  std::vector<Comet> spots;
  for (const CometHead& head : comet_heads(evidence, kHeadsOfASize)) {
    const double width = std::max(1.0, 0.5 * head.radius_px);
    cv::Mat& picture = smooth[width];
    if (picture.empty()) cv::GaussianBlur(evidence.silver, picture, {}, width, 0, cv::BORDER_REPLICATE);
    CometTail tail = CometFan(head, evidence, picture, width).tail();
    if (tail.score <= 0.0) continue;
    spots.push_back({head, tail, edge_of(evidence, head, tail.turn)});
    const cv::Rect core(head.at.x - 1, head.at.y - 1, 3, 3);
    spots.back().may_be_bare = head.sign > 0 || cv::mean(evidence.silver(core))[0] <= bare;
  }
  return spots;
}

// Chance is what the plate's own spots elsewhere show: of N spots none is expected to have by chance so plain
// a tail, so round a head and a tail so much fainter than its head when
//   NFA = N P(tail) P(head) P(tail against head)
// is small, each P the share of the other spots that reach as much (the last of those with a tail), with the
// comet itself counted among them. The three have little to do with each other, so that their product is
// taken, and what that makes too small put right (kTooSmall).
double log10_nfa_of(const Comet& comet, const std::vector<Comet>& all, const Evidence& evidence) {
  double spots = 1.0;
  double as_long = 1.0;
  double as_round = 1.0;
  double with_tail = 1.0;
  double as_distinct = 1.0;
  for (const Comet& other : all) {
    if (apart(comet, other) < kSamePlaceUnits * evidence.px_per_unit) continue;
    spots += 1.0;
    as_round += is_head(other, evidence) && other.uneven() <= comet.uneven();
    if (!is_tail(other.tail)) continue;
    as_long += other.tail.score >= comet.tail.score;
    with_tail += other.edge.has_value();
    as_distinct += other.tail_over_head() <= comet.tail_over_head();
  }
  return kTooSmall +
         std::log10(as_long * as_round / spots * std::max(kLeastShareDistinct, as_distinct / with_tail));
}

// Companions that are rare themselves and point the same way make chance less likely. How often two lines of
// this plate point the same way by chance its other spots say (branches and hair do so often): at least one
// in eighteen within ten degrees.
double log10_of_agreeing(const Comet& comet, const std::vector<Comet>& comets,
                         const std::vector<Comet>& spots) {
  constexpr double kCompanionLog10Nfa = -1.0;
  const auto same_way = [&](const Comet& other) {
    return std::abs(std::remainder(other.tail.turn - comet.tail.turn, 2.0 * std::numbers::pi)) < kSameWay;
  };
  std::int64_t companions = 0;
  std::int64_t agreeing = 0;
  for (const Comet& other : comets) {
    if (&other == &comet || other.log10_nfa > kCompanionLog10Nfa) continue;
    ++companions;
    agreeing += same_way(other);
  }
  if (agreeing == 0) return 0.0;
  double tails = std::numbers::pi / kSameWay;
  double same = 1.0;
  for (const Comet& spot : spots) {
    const bool of_a_comet = std::any_of(comets.begin(), comets.end(), [&](const Comet& other) {
      return apart(spot, other) < other.tail.length_px;
    });
    if (of_a_comet || !is_tail(spot.tail)) continue;
    tails += 1.0;
    same += same_way(spot);
  }
  return log10_binomial_tail(companions, agreeing, std::max(same / tails, kSameWay / std::numbers::pi));
}

Candidate candidate_of(const Comet& comet, const Evidence& evidence, double log10_nfa) {
  const double k = evidence.px_per_unit;
  const double radius = comet.edge->radius_px;
  const cv::Point2d along(std::cos(comet.tail.turn), std::sin(comet.tail.turn));
  const cv::Point2d across(-along.y, along.x);
  const cv::Point2d middle = comet.edge->middle;
  Candidate candidate{.id = "comet",
                      .length = (comet.tail.length_px + radius) / k,
                      .width = 2.0 * radius / k,
                      .contrast = comet.edge->contrast,
                      .log10_nfa = log10_nfa,
                      .confidence = std::clamp(0.6 - 0.1 * log10_nfa, 0.3, 0.95)};
  constexpr int kPoints = 12;
  std::vector<cv::Point2d> back;
  cv::Point2d end;
  for (int i = 0; i <= kPoints; ++i) {
    const double share = static_cast<double>(i) / kPoints;
    const double u = -radius + share * (comet.tail.length_px + radius);
    end = middle + u * along + (u > 0.0 ? comet.tail.bend * u * u : 0.0) * across;
    const double half = radius * (1.1 - 0.6 * share);
    candidate.outline_units.push_back({(end.x + half * across.x) / k, (end.y + half * across.y) / k});
    back.push_back(end - half * across);
  }
  for (auto p = back.rbegin(); p != back.rend(); ++p) candidate.outline_units.push_back({p->x / k, p->y / k});
  candidate.angle_deg = screen_angle_deg({middle.x, middle.y}, {end.x, end.y});
  candidate.area = area(candidate.outline_units);
  return candidate;
}

}  // namespace

std::vector<Candidate> comet(const Evidence& evidence) {
  const std::vector<Comet> spots = spots_with_lines(evidence);
  std::vector<Comet> comets;
  for (const Comet& spot : spots) {
    if (!is_comet(spot, evidence)) continue;
    comets.push_back(spot);
    comets.back().log10_nfa = log10_nfa_of(spot, spots, evidence);
  }
  std::stable_sort(comets.begin(), comets.end(),
                   [](const Comet& a, const Comet& b) { return a.log10_nfa < b.log10_nfa; });
  std::vector<Comet> kept;
  for (const Comet& one : comets) {
    const bool again = std::any_of(kept.begin(), kept.end(), [&](const Comet& other) {
      return apart(one, other) < kSamePlaceUnits * evidence.px_per_unit;
    });
    if (!again && one.log10_nfa <= kProposeLog10Nfa) kept.push_back(one);
  }
  std::vector<Candidate> candidates;
  candidates.reserve(kept.size());
  for (const Comet& one : kept)
    candidates.push_back(candidate_of(one, evidence, one.log10_nfa + log10_of_agreeing(one, kept, spots)));
  return candidates;
}

}  // namespace platewise::fault_detectors
