#include "judge_outline.h"

#include <algorithm>

namespace platewise {

double confidence_of(const OutlineCandidate& candidate, const RefinedOutline& refined) {
  constexpr double kLeast = 0.2;  // what lines by chance reach is seldom a plate
  constexpr double kMost = 0.98;
  constexpr double kSure = 0.9;      // quality from which nothing is doubtful
  constexpr double kGuessed = 0.75;  // factor for a side that is the frame or hardly seen
  constexpr double kFirmSide = 0.6;  // share of profiles on the line
  double confidence =
      kLeast +
      (kMost - kLeast) * std::clamp((candidate.quality - kLeastQuality) / (kSure - kLeastQuality), 0.0, 1.0);
  for (std::size_t i = 0; i < 4; ++i) {
    if (candidate.at_frame[i] || candidate.support[i] < 0.5) {
      confidence *= kGuessed;
    } else {
      confidence *= std::min(1.0, 0.5 + 0.5 * refined.support[i] / kFirmSide);
    }
  }
  return confidence;
}

std::vector<Quad> others_beside(const std::vector<OutlineCandidate>& candidates) {
  constexpr double kAsGood = 0.2;
  const OutlineCandidate& first = candidates.front();
  const auto apart = [](const Quad& one, const Quad& other) {
    for (std::size_t i = 0; i < 4; ++i) {
      const Point a = one[i];
      const Point b = one[(i + 1) % 4];
      constexpr double kReach_px = -1.0;
      const auto outside = [&](Point p) {
        return ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / distance(a, b) < kReach_px;
      };
      if (std::all_of(other.begin(), other.end(), outside)) return true;
    }
    return false;
  };
  std::vector<Quad> others;
  for (const OutlineCandidate& other : candidates) {
    if (other.quality > std::max(kLeastQuality, first.quality - kAsGood) && other.sides_seen() == 4 &&
        apart(first.corners, other.corners) &&
        std::all_of(others.begin(), others.end(), [&](const Quad& q) { return apart(q, other.corners); }))
      others.push_back(other.corners);
  }
  return others;
}

}  // namespace platewise
