#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "../comet_tail.h"
#include "../round_spots.h"
#include "detectors.h"
#include "platewise/stats/nfa.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kProposeLog10Nfa = 0.3;
constexpr std::size_t kSpotsOfThePicture = 80;
// What a tail is: its steps stand out, it fades and ends, it is fainter than the head, leaves to one side
// only and is the plainest line round the head by far. Common practice in words, figures set on development
// plates.
constexpr double kLeastUnits = 2.0;  // handbook: tails 2-20 mm
constexpr double kLeastAgreeing = 0.7;
constexpr double kMostMiddle = 0.95;  // of the contrast near the head
constexpr double kMostFar = 0.6;
constexpr double kMostBeyond = 0.35;
constexpr double kLeastFading = 0.98;
constexpr double kMostOpposite = 0.4;
constexpr double kMostOther = 0.5;  // of the tail's own z
constexpr double kLeastOfHead = 0.02;
constexpr double kMostOfHead = 1.0;
// Tails of one plate share a direction.
constexpr double kSameWay = std::numbers::pi / 18.0;

struct Comet {
  RoundSpot spot;
  CometTail tail;
  double log10_nfa = 0.0;
};

bool is_comet(const Comet& comet, double px_per_unit) {
  const CometTail& tail = comet.tail;
  const double head = comet.spot.edge.contrast;
  return comet.spot.is_particle && tail.length_px >= kLeastUnits * px_per_unit &&
         tail.agreeing >= kLeastAgreeing && tail.near > kLeastOfHead * head &&
         tail.near < kMostOfHead * head && tail.middle > 0.0 && tail.middle < kMostMiddle * tail.near &&
         tail.far < kMostFar * tail.near && tail.beyond < kMostBeyond * tail.near &&
         tail.fading > kLeastFading && tail.opposite < kMostOpposite * tail.near &&
         tail.other < kMostOther * tail.z;
}

bool same_way(const Comet& a, const Comet& b) {
  return std::abs(std::remainder(a.tail.turn - b.tail.turn, 2.0 * std::numbers::pi)) < kSameWay;
}

// Particles are of all sizes; what the picture has several of, alike in size and tone with like lines, was
// made so: finials, buttons, letters.
bool is_one_of_a_kind(const Comet& comet, const std::vector<Comet>& spots) {
  constexpr double kAlikeRadius = 0.1;
  constexpr double kAlikeContrast = 0.25;
  constexpr std::ptrdiff_t kMostAlike = 3;
  const auto alike = [](double a, double b, double share) {
    return std::abs(a - b) < share * std::max(a, b);
  };
  const RoundEdge& edge = comet.spot.edge;
  return std::count_if(spots.begin(), spots.end(), [&](const Comet& other) {
           return other.spot.is_particle && other.spot.sign == comet.spot.sign &&
                  other.tail.sign == comet.tail.sign && same_way(comet, other) &&
                  alike(edge.radius_px, other.spot.edge.radius_px, kAlikeRadius) &&
                  alike(edge.contrast, other.spot.edge.contrast, kAlikeContrast);
         }) <= kMostAlike + 1;  // itself among them
}

// Every particle and some of the picture's other spots, each with the plainest line that leaves it.
std::vector<Comet> spots_with_lines(const Evidence& evidence) {
  const std::vector<RoundSpot> spots = round_spots(evidence);
  const auto particles = static_cast<std::size_t>(
      std::count_if(spots.begin(), spots.end(), [](const RoundSpot& spot) { return spot.is_particle; }));
  const std::size_t every = std::max<std::size_t>(1, (spots.size() - particles) / kSpotsOfThePicture);
  std::map<double, cv::Mat> smooth;
  std::vector<Comet> comets;
  for (std::size_t i = 0; i < spots.size(); i += i < particles ? 1 : every) {
    const RoundEdge& edge = spots[i].edge;
    // The tail's own width, in steps of half an octave.
    const double width = std::max(1.0, std::exp2(0.5 * std::round(2.0 * std::log2(0.4 * edge.radius_px))));
    cv::Mat& picture = smooth[width];
    if (picture.empty()) cv::GaussianBlur(evidence.silver, picture, {}, width, 0, cv::BORDER_REPLICATE);
    const CometFan fan(edge, evidence, picture, width);
    const CometTail light = fan.tail(1);
    const CometTail dark = fan.tail(-1);
    comets.push_back({spots[i], light.z >= dark.z ? light : dark});
  }
  return comets;
}

// The background is this plate's own spots: the logarithms of their z are taken as normally distributed, by
// their quartiles, which a few comets cannot move, and
//   NFA = particles * P(z at least the comet's).
void judge(std::vector<Comet>& comets, const std::vector<Comet>& spots) {
  constexpr double kLeastZ = 0.5;
  constexpr double kQuartile = 0.6745;
  constexpr double kLeastSigma = 0.3;  // bare grain has 0.3
  std::vector<double> logs;
  logs.reserve(spots.size());
  for (const Comet& spot : spots) logs.push_back(std::log(std::max(kLeastZ, spot.tail.z)));
  const double middle = median(logs);
  const double sigma =
      std::max(kLeastSigma, (quantile(logs, 0.75) - quantile(logs, 0.25)) / (2.0 * kQuartile));
  const auto particles =
      std::count_if(spots.begin(), spots.end(), [](const Comet& spot) { return spot.spot.is_particle; });
  for (Comet& comet : comets)
    comet.log10_nfa = std::log10(static_cast<double>(particles)) +
                      log10_normal_tail((std::log(comet.tail.z) - middle) / sigma);
}

// Companions that point the same way make chance less likely. How often two lines of this plate point the
// same way by chance its other spots say (branches and hair do so often): at least one in eighteen within ten
// degrees.
double log10_of_agreeing(const Comet& comet, const std::vector<Comet>& comets,
                         const std::vector<Comet>& spots) {
  std::int64_t companions = 0;
  std::int64_t agreeing = 0;
  for (const Comet& other : comets) {
    if (&other == &comet) continue;
    ++companions;
    agreeing += same_way(comet, other);
  }
  if (agreeing == 0) return 0.0;
  double tails = std::numbers::pi / kSameWay;
  double same = 1.0;
  for (const Comet& spot : spots) {
    if (spot.spot.is_particle || spot.tail.z <= 0.0) continue;
    tails += 1.0;
    same += same_way(comet, spot);
  }
  return log10_binomial_tail(companions, agreeing, std::max(same / tails, kSameWay / std::numbers::pi));
}

Candidate candidate_of(const Comet& comet, const Evidence& evidence, double log10_nfa) {
  const double k = evidence.px_per_unit;
  const double radius = comet.spot.edge.radius_px;
  const cv::Point2d along(std::cos(comet.tail.turn), std::sin(comet.tail.turn));
  const cv::Point2d across(-along.y, along.x);
  const cv::Point2d middle = comet.spot.edge.middle;
  Candidate candidate{.id = "comet",
                      .length = (comet.tail.length_px + radius) / k,
                      .width = 2.0 * radius / k,
                      .contrast = comet.spot.edge.contrast,
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
  for (const Comet& spot : spots)
    if (is_comet(spot, evidence.px_per_unit)) comets.push_back(spot);
  judge(comets, spots);
  std::erase_if(comets, [](const Comet& comet) { return comet.log10_nfa > kProposeLog10Nfa; });
  std::vector<Candidate> candidates;
  for (const Comet& one : comets)
    if (is_one_of_a_kind(one, spots))
      candidates.push_back(
          candidate_of(one, evidence, one.log10_nfa + log10_of_agreeing(one, comets, spots)));
  return candidates;
}

}  // namespace platewise::fault_detectors
