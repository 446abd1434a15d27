#include "round_spots.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "comet_heads.h"
#include "picture_softness.h"

namespace platewise {
namespace {

constexpr std::size_t kHeadsOfASize = 120;
constexpr double kCalmPx = 1.2;  // a faint spot's outline is looked for on a picture smoothed so
constexpr double kCalmBelowGrains = 12.0;
constexpr double kLeastRadiusPx = 1.5;
constexpr double kMostRadiusUnits = 1.2;
constexpr double kMostUneven = 0.1;  // of the radius, and a third of a pixel: else it has no outline

// A particle of collodion or dust. Common practice in words, figures set on development plates.
constexpr double kParticleRadiusPx = 2.5;  // smaller ones cannot be told from the end of a line
constexpr double kLeastAround = 0.85;
constexpr double kParticleUneven = 0.03;  // of the radius
constexpr double kParticleUnevenPx = 0.14;
constexpr double kUnevenPerNoise = 2.0;  // pixels, for noise over contrast
constexpr double kMostUnevenByNoisePx = 0.4;
constexpr double kMostSofter = 1.1;
constexpr double kHardPx = 1.5;  // what a scan makes of a hard edge at most
constexpr double kLeastContrast = 0.02;
constexpr double kLeastContrastPerNoise = 6.0;

std::optional<RoundEdge> edge_of(const cv::Mat& silver, const CometHead& head) {
  const auto first = round_edge(silver, head.at, head.radius_px, head.sign);
  if (!first || cv::norm(first->middle - cv::Point2d(head.at)) > head.radius_px) return first;
  const auto second =
      round_edge(silver, first->middle, std::min(first->radius_px, 2.0 * head.radius_px), head.sign);
  return second ? second : first;
}

bool is_particle(const RoundEdge& edge, double noise, double softness_px) {
  const double by_noise = std::min(kMostUnevenByNoisePx, kUnevenPerNoise * noise / edge.contrast);
  return edge.radius_px >= kParticleRadiusPx && edge.agreeing >= kLeastAround &&
         edge.uneven_px < kParticleUneven * edge.radius_px + kParticleUnevenPx + by_noise &&
         edge.softness_px < std::max(kHardPx, kMostSofter * softness_px) &&
         edge.contrast > std::max(kLeastContrast, kLeastContrastPerNoise * noise);
}

}  // namespace

std::vector<RoundSpot> round_spots(const Evidence& evidence) {
  cv::Mat calm;
  cv::GaussianBlur(evidence.silver, calm, {}, kCalmPx, 0, cv::BORDER_REPLICATE);
  const double calm_grain = evidence.grain / (2.0 * std::sqrt(CV_PI) * kCalmPx);
  const double softness = lens_softness_px(evidence);
  std::vector<RoundSpot> all;
  for (const CometHead& head : comet_heads(evidence, kHeadsOfASize)) {
    const bool faint =
        head.response < kCalmBelowGrains * evidence.grain && head.radius_px > kParticleRadiusPx;
    const auto edge = edge_of(faint ? calm : evidence.silver, head);
    if (!edge || edge->radius_px < kLeastRadiusPx ||
        edge->radius_px > kMostRadiusUnits * evidence.px_per_unit ||
        edge->uneven_px > kMostUneven * edge->radius_px + 1.0 / 3.0)
      continue;
    all.push_back({*edge, head.sign,
                   is_particle(*edge, faint ? calm_grain : evidence.grain,
                               faint ? std::hypot(softness, kCalmPx) : softness)});
  }
  std::stable_sort(all.begin(), all.end(), [](const RoundSpot& a, const RoundSpot& b) {
    if (a.is_particle != b.is_particle) return a.is_particle;
    return a.edge.contrast * a.edge.radius_px > b.edge.contrast * b.edge.radius_px;
  });
  constexpr double kSamePlaceRadii = 0.7;
  std::vector<RoundSpot> kept;
  for (const RoundSpot& one : all) {
    const bool again = std::any_of(kept.begin(), kept.end(), [&](const RoundSpot& other) {
      const double near = kSamePlaceRadii * std::max(one.edge.radius_px, other.edge.radius_px);
      return cv::norm(one.edge.middle - other.edge.middle) < near;
    });
    if (!again) kept.push_back(one);
  }
  return kept;
}

}  // namespace platewise
