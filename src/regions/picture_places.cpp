#include "picture_places.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "masked_values.h"

namespace platewise {
namespace {

// The parts of `where` that hang together with what lies outside the picture.
cv::Mat reached_from_outside(const cv::Mat& where) {
  cv::Mat framed;
  cv::Mat labels;
  cv::copyMakeBorder(where, framed, 1, 1, 1, 1, cv::BORDER_CONSTANT, 255);
  cv::connectedComponents(framed, labels, 4, CV_32S);
  const cv::Mat reached = labels == labels.at<int>(0, 0);
  return reached(cv::Rect({1, 1}, where.size()));
}

// Nothing on the film is as dark as the support: what has its tone and hangs together with the plate's edge
// or with bare support is left out of the picture.
cv::Mat like_bare_at_edge(const Seen& seen) {
  const WorkingTone& working = seen.working;
  std::vector<float> tones = values_in(working.smooth, eroded(seen.bare, working.pixels(kClearHundredths)));
  constexpr std::size_t kEnough = 60;
  if (tones.size() < kEnough) return cv::Mat::zeros(seen.plate.size(), CV_8UC1);
  const MiddleAndSpread middle = middle_and_spread(tones);
  const double above = std::max({0.008, 2.0 * middle.spread, 2.0 * working.noise_at(middle.middle)});
  const cv::Mat alike = (working.smooth <= middle.middle + above) | seen.bare | ~seen.plate;
  cv::Mat like_bare = reached_from_outside(alike) & seen.plate;
  // So much of the film cannot be as dark as its support: then the tone is the scene's.
  constexpr double kSeldom = 0.15;
  if (cv::countNonZero(like_bare & seen.film) > kSeldom * cv::countNonZero(seen.film))
    return cv::Mat::zeros(seen.plate.size(), CV_8UC1);
  return like_bare;
}

}  // namespace

cv::Mat eroded(const cv::Mat& mask, int radius) {
  cv::Mat result;
  cv::erode(mask, result, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * radius + 1, 2 * radius + 1}),
            {-1, -1}, 1, cv::BORDER_CONSTANT, 0);
  return result;
}

cv::Mat filled(const Polygon& outline, cv::Size size) {
  constexpr int kShift = 4;
  std::vector<std::vector<cv::Point>> points(1);
  for (const Point p : outline) {
    points[0].emplace_back(static_cast<int>(std::lround((p.x - 0.5) * (1 << kShift))),
                           static_cast<int>(std::lround((p.y - 0.5) * (1 << kShift))));
  }
  cv::Mat mask = cv::Mat::zeros(size, CV_8UC1);
  cv::fillPoly(mask, points, 255, cv::LINE_8, kShift);
  return mask;
}

cv::Mat rim_tone_of(const Seen& seen) {
  cv::Mat tone(seen.plate.size(), CV_32FC1, cv::Scalar(seen.opening.rim_tone));
  if (seen.rim) cv::resize(seen.rim->surface, tone, tone.size(), 0, 0, cv::INTER_LINEAR);
  return tone;
}

cv::Mat like_rim_at_edge(const Seen& seen, const cv::Mat& picture) {
  cv::Mat unsure = cv::Mat::zeros(seen.plate.size(), CV_8UC1);
  if (seen.opening.side_count() == 0) return unsure;
  const WorkingTone& working = seen.working;
  const double above =
      std::max(0.008, std::max(2.0 * working.noise_at(seen.opening.rim_tone), seen.opening.rim_spread));
  const cv::Mat dark = (working.smooth <= rim_tone_of(seen) + above) | ~seen.film;
  const cv::Mat alike = dark | ~filled(outline_of(seen.opening, working), seen.plate.size());
  // A border a little off leaves a thin strip, no region.
  constexpr double kThinHundredths = 0.5;
  const int size = 2 * working.pixels(kThinHundredths) + 1;
  cv::morphologyEx(reached_from_outside(alike) & dark, unsure, cv::MORPH_OPEN,
                   cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size}));
  // The border of such a place is blurred too.
  cv::dilate(unsure, unsure, cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size}));
  return unsure & picture;
}

cv::Mat picture_core(const Seen& seen) {
  constexpr double kBlurHundredths = 0.3;
  constexpr bool kWithoutDoubtful = true;
  const cv::Mat opened = filled(outline_of(seen.opening, seen.working, kWithoutDoubtful), seen.plate.size());
  constexpr double kEdgeHundredths = 0.8;  // where no rim keeps the picture away from the plate's edge
  return eroded(opened & seen.film & ~seen.glare & ~like_bare_at_edge(seen),
                seen.working.pixels(kBlurHundredths)) &
         eroded(seen.plate, seen.working.pixels(kEdgeHundredths));
}

}  // namespace platewise
