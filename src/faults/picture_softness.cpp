#include "picture_softness.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "plain_step.h"

namespace platewise {
namespace {

constexpr double kLeastStep = 0.06;  // density
constexpr double kLeastStepGrains = 12.0;

// Steeper than its neighbours up and down the slope.
bool is_crest(const cv::Mat& steepness, const Rises& rises, cv::Point at, float steepest) {
  const double x = rises.dx.at<float>(at) / steepest;
  const double y = rises.dy.at<float>(at) / steepest;
  return between_pixels(steepness, at.x + x, at.y + y) <= steepest &&
         between_pixels(steepness, at.x - x, at.y - y) <= steepest;
}

// An edge of the picture goes on to both sides as steep and in the same direction; the outline of a speck,
// which is on the film and sharper than the lens, turns away.
bool goes_on(const cv::Mat& steepness, const Rises& rises, cv::Point at, float steepest) {
  constexpr double kAlongPx = 4.0;
  constexpr double kLeastAsSteep = 0.6;
  constexpr double kLeastAlong = 0.94;  // cosine
  const cv::Point2d uphill(rises.dx.at<float>(at) / steepest, rises.dy.at<float>(at) / steepest);
  for (const double side : {-kAlongPx, kAlongPx}) {
    const cv::Point there(static_cast<int>(std::lround(at.x - side * uphill.y)),
                          static_cast<int>(std::lround(at.y + side * uphill.x)));
    const double here = steepness.at<float>(there);
    const double along = rises.dx.at<float>(there) * uphill.x + rises.dy.at<float>(there) * uphill.y;
    if (here < kLeastAsSteep * steepest || along < kLeastAlong * here) return false;
  }
  return true;
}

}  // namespace

std::vector<PictureEdge> picture_edges(const Evidence& evidence) {
  const cv::Mat& silver = evidence.silver;
  const Rises rises(silver);
  cv::Mat steepness;
  cv::magnitude(rises.dx, rises.dy, steepness);
  const double least_height = std::max(kLeastStep, kLeastStepGrains * evidence.grain);
  const double least_steepness = 0.39894 * least_height / kStepReachPx;
  const cv::Mat inside = evidence.regions->picture.inside.empty()
                             ? evidence.film.inside
                             : cv::Mat(evidence.film.inside & evidence.regions->picture.inside);
  std::vector<PictureEdge> edges;
  const int edge = kStepReachPx + 2;
  for (int y = edge; y < silver.rows - edge; ++y) {
    for (int x = edge; x < silver.cols - edge; ++x) {
      const float steepest = steepness.at<float>(y, x);
      if (steepest < least_steepness || inside.at<std::uint8_t>(y, x) == 0 ||
          !is_crest(steepness, rises, {x, y}, steepest) || !goes_on(steepness, rises, {x, y}, steepest))
        continue;
      if (const auto step = plain_step_at(silver, rises, {x, y}, least_height, evidence.grain))
        edges.push_back({{x, y}, static_cast<float>(step->softness_px)});
    }
  }
  std::stable_sort(edges.begin(), edges.end(),
                   [](const PictureEdge& a, const PictureEdge& b) { return a.softness_px < b.softness_px; });
  return edges;
}

std::optional<double> sharpest_px(const std::vector<PictureEdge>& sharpest_first) {
  constexpr std::size_t kFewest = 150;
  const auto count = static_cast<double>(sharpest_first.size());
  if (sharpest_first.size() < kFewest) return std::nullopt;
  return sharpest_first[static_cast<std::size_t>(kSharpestShare * count)].softness_px;
}

double lens_softness_px(const Evidence& evidence) {
  constexpr double kSharpestLensUnits = 0.05;
  constexpr double kSobelSoftnessPx = 0.65;  // of a hard edge
  return evidence.softness_px.value_or(
      std::hypot(kSharpestLensUnits * evidence.px_per_unit, kSobelSoftnessPx));
}

}  // namespace platewise
