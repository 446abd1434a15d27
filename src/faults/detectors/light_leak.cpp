#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "../border_strip.h"
#include "detectors.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

// Handbook: "wedge, band or plume of fog with one hard side", "enters from an edge", "points back at the
// leak; straight". The widths below are common practice, no source.
constexpr double kHardestRiseUnits = 1.5;
constexpr double kSoftestRiseUnits = 20.0;
constexpr double kSoftPerHard = 2.5;
constexpr double kWidestUnits = 25.0;  // at half of the lift
constexpr int kMostTurnDeg = 50;
constexpr int kTurnStepDeg = 2;
constexpr double kShiftUnits = 1.0;
constexpr double kStepUnits = 0.5;
constexpr double kAgreeingShare = 0.85;
constexpr double kLeastReachUnits = 8.0;  // inside the picture
constexpr double kFirstUnits = 5.0;
constexpr double kFadedShare = 0.25;
constexpr double kFadingShare = 0.8;
constexpr double kSameSideUnits = 2.0;
constexpr double kCompanyUnits = 5.0;
constexpr double kLeastSoftUnits = 2.0;
constexpr double kLargestLog10NfaOfRim = -6.0;    // the scatter is known from few places only
constexpr double kLargestLog10NfaOfBand = -12.0;  // and a band shows the scene
constexpr double kCornerUnits = 5.0;              // where two rims meet a lift may belong to either
constexpr double kLeastDifference = 0.012;        // silver across the hard side, inside the picture

struct Ray {
  cv::Point2d root;       // on the film's edge, units
  cv::Point2d direction;  // inward, unit length
  double reach = 0.0;
  double difference = 0.0;  // across the hard side
  bool fades = false;       // toward its far end, as a plume does and a thing of the picture does not
  double agreeing = 0.0;    // share of the steps with the lit side lighter
};

std::optional<double> silver_at(const Evidence& evidence, cv::Point2d at_units) {
  const cv::Point at(at_units * evidence.px_per_unit);
  if (at.x < 0 || at.y < 0 || at.x >= evidence.silver.cols || at.y >= evidence.silver.rows ||
      evidence.regions->film.inside.at<std::uint8_t>(at) == 0)
    return std::nullopt;
  return static_cast<double>(evidence.silver.at<float>(at));
}

std::optional<double> mean_beside(const Evidence& evidence, cv::Point2d at, cv::Point2d across, double from,
                                  double to) {
  double sum = 0.0;
  int count = 0;
  const double step = 1.0 / evidence.px_per_unit;
  for (double v = from; v <= to; v += step) {
    if (const auto value = silver_at(evidence, at + v * across)) {
      sum += *value;
      ++count;
    }
  }
  if (count == 0) return std::nullopt;
  return sum / count;
}

// How much lighter the lit side is, step by step along a ray.
std::vector<double> differences(const Evidence& evidence, const Ray& ray, double lit_side) {
  const cv::Point2d across(-ray.direction.y * lit_side, ray.direction.x * lit_side);
  std::vector<double> along;
  constexpr double kFarthestUnits = 120.0;
  for (double u = 0.0; u < kFarthestUnits; u += kStepUnits) {
    const cv::Point2d at = ray.root + u * ray.direction;
    const auto lit = mean_beside(evidence, at, across, 0.4, 1.6);
    const auto dark = mean_beside(evidence, at, across, -2.2, -1.0);
    if (!lit || !dark) break;
    along.push_back(*lit - *dark);
  }
  return along;
}

// The ray goes as far as the steps keep a fair share of the first ones' difference.
void measure(Ray& ray, const std::vector<double>& from_edge, double skipped) {
  const auto first = static_cast<std::size_t>(std::lround(kFirstUnits / kStepUnits));
  const auto skip = static_cast<std::size_t>(std::lround(skipped / kStepUnits));
  if (from_edge.size() < skip + 2 * first) return;
  const std::vector<double> along(from_edge.begin() + static_cast<std::ptrdiff_t>(skip), from_edge.end());
  std::vector<double> start(along.begin(), along.begin() + static_cast<std::ptrdiff_t>(first));
  const double level = kFadedShare * median(start);
  if (level <= 0) return;
  double sum = 0.0;
  double best = 0.0;
  for (std::size_t i = 0; i < along.size(); ++i) {
    // A bright thing of the picture may not outvote the rest.
    sum += std::clamp(along[i] - level, -2.0 * level, 2.0 * level);
    if (sum <= best) continue;
    best = sum;
    ray.reach = static_cast<double>(i + 1) * kStepUnits;
  }
  const auto steps = static_cast<std::ptrdiff_t>(std::lround(ray.reach / kStepUnits));
  if (steps < 3) return;
  std::vector<double> used(along.begin(), along.begin() + steps);
  ray.agreeing =
      static_cast<double>(std::count_if(used.begin(), used.end(), [](double d) { return d > 0; })) /
      static_cast<double>(steps);
  ray.difference = median(used);
  const auto third = steps / 3;
  std::vector<double> near(along.begin(), along.begin() + third);
  std::vector<double> far(along.begin() + 2 * third, along.begin() + steps);
  ray.fades = third > 0 && median(far) < kFadingShare * median(near);
}

cv::Point2d turned(cv::Point2d v, double angle) {
  return {v.x * std::cos(angle) - v.y * std::sin(angle), v.x * std::sin(angle) + v.y * std::cos(angle)};
}

Ray best_ray(const Evidence& evidence, const Lifted& lifted, bool hard_at_from) {
  const double hard = hard_at_from ? lifted.from : lifted.to;
  const cv::Point2d inward =
      on_side(evidence, lifted.side, 0.0, 1.0) - on_side(evidence, lifted.side, 0.0, 0.0);
  const cv::Point2d along_side =
      on_side(evidence, lifted.side, 1.0, 0.0) - on_side(evidence, lifted.side, 0.0, 0.0);
  const cv::Point2d lit = hard_at_from ? along_side : -along_side;
  Ray best;
  double best_worth = 0.0;
  for (double shift = -kShiftUnits; shift <= kShiftUnits; shift += 0.5 * kShiftUnits) {
    for (int turn = -kMostTurnDeg; turn <= kMostTurnDeg; turn += kTurnStepDeg) {
      Ray ray{.root = on_side(evidence, lifted.side, hard + shift, lifted.outer),
              .direction = turned(inward, turn * std::numbers::pi / 180.0)};
      const cv::Point2d across(-ray.direction.y, ray.direction.x);
      const std::vector<double> along = differences(evidence, ray, across.dot(lit) > 0 ? 1.0 : -1.0);
      measure(ray, along, lifted.rim ? lifted.inner - lifted.outer + 1.0 : 0.0);
      const double worth = ray.difference * std::sqrt(ray.reach) * ray.agreeing;
      if (worth <= best_worth) continue;
      best_worth = worth;
      best = ray;
    }
  }
  return best;
}

bool at_a_corner(const Evidence& evidence, const Lifted& lifted) {
  const bool across = lifted.side == Edge::top || lifted.side == Edge::bottom;
  const double length = (across ? evidence.silver.cols : evidence.silver.rows) / evidence.px_per_unit;
  return lifted.from < kCornerUnits || lifted.to > length - kCornerUnits;
}

bool has_one_hard_side(const Lifted& lifted) {
  const double hard = std::min(lifted.rise_from, lifted.rise_to);
  const double soft = std::max(lifted.rise_from, lifted.rise_to);
  if (lifted.log10_nfa > (lifted.rim ? kLargestLog10NfaOfRim : kLargestLog10NfaOfBand)) return false;
  return !lifted.open_from && !lifted.open_to && hard <= kHardestRiseUnits &&
         soft >= std::max(kSoftPerHard * hard, kLeastSoftUnits) &&
         soft <= (lifted.rim ? kSoftestRiseUnits : 0.6 * kSoftestRiseUnits) &&
         lifted.to - lifted.from <= (lifted.rim ? kWidestUnits : 0.5 * kWidestUnits);
}

// Two stretches over the same soft flank are one leak.
bool share_a_hard_side(const Lifted& a, const Lifted& b) {
  return a.side == b.side &&
         (std::abs(a.from - b.from) < kSameSideUnits || std::abs(a.to - b.to) < kSameSideUnits);
}

// Several lifts beside each other on a rim are the fringes of a stain, or the scene.
bool has_company(const Lifted& lifted, const std::vector<Lifted>& all) {
  return std::any_of(all.begin(), all.end(), [&](const Lifted& other) {
    return other.side == lifted.side && other.rim == lifted.rim && !share_a_hard_side(lifted, other) &&
           other.from < lifted.to + kCompanyUnits && other.to > lifted.from - kCompanyUnits;
  });
}

// A rim has already shown that the scene is not the cause; a band of the picture has not.
bool is_straight_into_the_picture(const Ray& ray, const Lifted& lifted) {
  if (ray.difference < kLeastDifference) return false;
  if (lifted.rim) return ray.reach >= kLeastReachUnits / 2.0 && ray.agreeing >= kAgreeingShare - 0.05;
  return ray.reach >= kLeastReachUnits && ray.agreeing >= kAgreeingShare && ray.fades;
}

Candidate leak(const Evidence& evidence, const Lifted& lifted, const Ray& ray, bool hard_at_from) {
  const double width = 1.5 * (lifted.to - lifted.from);
  const double far_width = 2.0 * width;
  const cv::Point2d along_side =
      on_side(evidence, lifted.side, 1.0, 0.0) - on_side(evidence, lifted.side, 0.0, 0.0);
  const cv::Point2d lit = (hard_at_from ? 1.0 : -1.0) * along_side;
  const cv::Point2d start = on_side(evidence, lifted.side, hard_at_from ? lifted.from : lifted.to, 0.0);
  const cv::Point2d end = ray.root + ray.reach * ray.direction;
  Candidate candidate{.id = "light_leak",
                      .length = ray.reach,
                      .width = lifted.to - lifted.from,
                      .angle_deg = screen_angle_deg({0, 0}, {ray.direction.x, ray.direction.y}),
                      .contrast = lifted.lift,
                      .log10_nfa = lifted.log10_nfa};
  for (const cv::Point2d& p : {start, end, end + far_width * lit, start + width * lit})
    candidate.outline_units.push_back({p.x, p.y});
  candidate.area = area(candidate.outline_units);
  candidate.confidence = std::clamp(ray.agreeing * (lifted.rim ? 1.0 : 0.8), 0.3, 0.95);
  return candidate;
}

}  // namespace

std::vector<Candidate> light_leak(const Evidence& evidence) {
  const std::vector<Lifted> all = lifted_stretches(border_strips(evidence));
  std::vector<Candidate> candidates;
  std::vector<Lifted> taken;
  for (const Lifted& lifted : all) {
    if (at_a_corner(evidence, lifted) || !has_one_hard_side(lifted) || has_company(lifted, all)) continue;
    const bool hard_at_from = lifted.rise_from < lifted.rise_to;
    const Ray ray = best_ray(evidence, lifted, hard_at_from);
    if (!is_straight_into_the_picture(ray, lifted)) continue;
    const bool again = std::any_of(taken.begin(), taken.end(),
                                   [&](const Lifted& other) { return share_a_hard_side(lifted, other); });
    if (again) continue;
    taken.push_back(lifted);
    candidates.push_back(leak(evidence, lifted, ray, hard_at_from));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
