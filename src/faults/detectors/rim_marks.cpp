#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "../leak_ray.h"
#include "../rim_stains.h"
#include "detectors.h"
#include "platewise/stats/robust.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kSpreadPerReach = 0.2;      // a plume widens inward
constexpr double kLeastStainUnits = 4.0;     // depth where it can't be seen (handbook: 1-15)
constexpr double kDeepestStainUnits = 15.0;  // handbook
constexpr double kDepthStepUnits = 0.5;
constexpr double kFlankUnits = 6.0;
constexpr double kCornerUnits = 3.0;

Candidate leak(const Evidence& evidence, const RimStain& plume) {
  const LeakRay ray = leak_ray(evidence, plume);
  const double width = std::max(2.0, plume.width);
  const cv::Point2d along = on_side(evidence, plume.side, 1.0, 0.0) - on_side(evidence, plume.side, 0.0, 0.0);
  const cv::Point2d lit = (plume.hard_at_from ? 1.0 : -1.0) * along;
  const cv::Point2d start = ray.root;
  const cv::Point2d end = ray.root + ray.reach * ray.direction;
  Candidate candidate{.id = "light_leak",
                      .length = ray.reach,
                      .width = width,
                      .angle_deg = screen_angle_deg({0, 0}, {ray.direction.x, ray.direction.y}),
                      .contrast = plume.level,
                      .log10_nfa = plume.log10_nfa};
  for (const cv::Point2d& p :
       {start, end, end + (width + kSpreadPerReach * ray.reach) * lit, start + width * lit})
    candidate.outline_units.push_back({p.x, p.y});
  candidate.area = area(candidate.outline_units);
  candidate.confidence = ray.difference > 0.0 ? 0.95 : 0.8;
  return candidate;
}

// Median silver of the film between two places along a side, at one depth; NaN where there is none.
double silver_along(const Evidence& evidence, Edge side, double from, double to, double depth) {
  std::vector<double> values;
  for (double along = from; along <= to; along += kRimStepUnits) {
    const cv::Point px(on_side(evidence, side, along, depth) * evidence.px_per_unit);
    if (px.x < 0 || px.y < 0 || px.x >= evidence.silver.cols || px.y >= evidence.silver.rows ||
        evidence.regions->film.inside.at<std::uint8_t>(px) == 0)
      continue;
    values.push_back(static_cast<double>(evidence.silver.at<float>(px)));
  }
  return values.size() < 3 ? std::nan("") : median(values);
}

// How far inward a band of stain reaches: to where the stretch's lead over its flanks falls most within two
// units, if it falls by a third of the level; else as deep as such bands at least are.
double depth_of(const Evidence& evidence, const RimStain& stain) {
  std::vector<double> lead;
  for (double depth = stain.outer; depth <= kDeepestStainUnits; depth += kDepthStepUnits) {
    const double inside = silver_along(evidence, stain.side, stain.from + 1.0, stain.to - 1.0, depth);
    const double before =
        silver_along(evidence, stain.side, stain.from - kFlankUnits, stain.from - 1.0, depth);
    const double after = silver_along(evidence, stain.side, stain.to + 1.0, stain.to + kFlankUnits, depth);
    const double beside = std::isnan(before) ? after : std::isnan(after) ? before : 0.5 * (before + after);
    lead.push_back(inside - beside);
  }
  constexpr std::size_t kWithin = 4;  // steps
  double most = stain.level / 3.0;
  double depth = std::max(stain.inner + 1.0, kLeastStainUnits);
  for (std::size_t i = 0; i + kWithin < lead.size(); ++i) {
    const double fall = lead[i] - lead[i + kWithin];
    if (!(fall > most)) continue;
    most = fall;
    depth = stain.outer + (static_cast<double>(i) + 0.5 * kWithin) * kDepthStepUnits;
  }
  return depth;
}

Candidate band(const Evidence& evidence, const RimStain& stain) {
  const double depth = depth_of(evidence, stain);
  Candidate candidate{.id = "edge_stain",
                      .length = stain.to - stain.from,
                      .width = depth,
                      .contrast = stain.level,
                      .log10_nfa = stain.log10_nfa};
  for (const auto& [along, inward] : {std::pair{stain.from, 0.0}, std::pair{stain.to, 0.0},
                                      std::pair{stain.to, depth}, std::pair{stain.from, depth}}) {
    const cv::Point2d p = on_side(evidence, stain.side, along, inward);
    candidate.outline_units.push_back({p.x, p.y});
  }
  candidate.area = area(candidate.outline_units);
  candidate.confidence = 0.8;
  return candidate;
}

// The far end of a plume that lights two sides of a corner is no stain of the second.
bool shares_a_corner(const Evidence& evidence, const RimStain& a, const RimStain& b) {
  if (a.side == b.side) return false;
  const auto ends = [&](const RimStain& stain) {
    return std::array{on_side(evidence, stain.side, stain.from, 0.0),
                      on_side(evidence, stain.side, stain.to, 0.0)};
  };
  for (const cv::Point2d& p : ends(a))
    for (const cv::Point2d& q : ends(b))
      if (cv::norm(p - q) < 2.0 * kCornerUnits) return true;
  return false;
}

}  // namespace

std::vector<Candidate> rim_marks(const Evidence& evidence) {
  const auto rim = rim_band(evidence);
  if (!rim) return {};
  const std::vector<RimStain> stains = rim_stains(*rim);
  std::vector<RimStain> leaks;
  for (const RimStain& stain : stains)
    if (stain.kind == RimStainKind::plume) leaks.push_back(stain);
  std::vector<Candidate> candidates;
  for (const RimStain& stain : stains) {
    if (stain.kind == RimStainKind::plume) {
      // Of two sides that one plume lights, the one it shows most on.
      const bool second = std::any_of(leaks.begin(), leaks.end(), [&](const RimStain& other) {
        return other.level > stain.level && shares_a_corner(evidence, stain, other);
      });
      if (!second) candidates.push_back(leak(evidence, stain));
      continue;
    }
    const bool of_a_leak = std::any_of(leaks.begin(), leaks.end(), [&](const RimStain& other) {
      return shares_a_corner(evidence, stain, other);
    });
    if (!of_a_leak) candidates.push_back(band(evidence, stain));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
