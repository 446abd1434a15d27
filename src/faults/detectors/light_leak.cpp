#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "../leak_ray.h"
#include "../rim_plumes.h"
#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kSpreadPerReach = 0.2;  // a plume widens inward
constexpr double kCornerUnits = 3.0;

Candidate leak(const Evidence& evidence, const RimPlume& plume) {
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

// A plume may light two sides of a corner.
bool shares_a_corner(const Evidence& evidence, const RimPlume& a, const RimPlume& b) {
  if (a.side == b.side) return false;
  const auto ends = [&](const RimPlume& plume) {
    return std::array{on_side(evidence, plume.side, plume.from, 0.0),
                      on_side(evidence, plume.side, plume.to, 0.0)};
  };
  for (const cv::Point2d& p : ends(a))
    for (const cv::Point2d& q : ends(b))
      if (cv::norm(p - q) < 2.0 * kCornerUnits) return true;
  return false;
}

}  // namespace

std::vector<Candidate> light_leak(const Evidence& evidence) {
  const auto rim = rim_band(evidence);
  if (!rim) return {};
  const std::vector<RimPlume> plumes = rim_plumes(*rim);
  std::vector<Candidate> candidates;
  for (const RimPlume& plume : plumes) {
    // Of two sides that one plume lights, the one it shows most on.
    const bool second = std::any_of(plumes.begin(), plumes.end(), [&](const RimPlume& other) {
      return other.level > plume.level && shares_a_corner(evidence, plume, other);
    });
    if (!second) candidates.push_back(leak(evidence, plume));
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
