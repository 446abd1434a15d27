#include "two_in_line.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>

namespace platewise {
namespace {

// Largest distance between the ends of one side of two outlines.
double side_apart(const Quad& a, const Quad& b, std::size_t side) {
  return std::max(distance(a[side], b[side]), distance(a[(side + 1) % 4], b[(side + 1) % 4]));
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

}  // namespace

void drop_spans(std::vector<OutlineCandidate>& candidates, const SearchImage& search) {
  constexpr double kSure = 0.7;
  constexpr std::size_t kMostSure = 120;
  const cv::Mat lightness = one_channel(search);
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

}  // namespace platewise
