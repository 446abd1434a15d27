#pragma once

#include <cmath>
#include <opencv2/core.hpp>
#include <optional>

namespace platewise {

// Between pixel centres; the place must be a pixel inside the picture's last row and column.
[[nodiscard]] inline float between_pixels(const cv::Mat& picture, double x, double y) {
  const int x0 = static_cast<int>(x);
  const int y0 = static_cast<int>(y);
  const auto fx = static_cast<float>(x - x0);
  const auto fy = static_cast<float>(y - y0);
  const float* above = picture.ptr<float>(y0) + x0;
  const float* below = picture.ptr<float>(y0 + 1) + x0;
  return (1 - fy) * ((1 - fx) * above[0] + fx * above[1]) + fy * ((1 - fx) * below[0] + fx * below[1]);
}

// Rise across one pixel, Sobel's.
struct Rises {
  cv::Mat dx;  // CV_32FC1
  cv::Mat dy;

  explicit Rises(const cv::Mat& picture);
  [[nodiscard]] double steepness(cv::Point at) const {
    return std::hypot(dx.at<float>(at), dy.at<float>(at));
  }
};

// A step between two even levels.
struct PlainStep {
  double height = 0.0;
  double softness_px = 0.0;  // height / (sqrt(2 pi) steepness), as of a step blurred by a normal distribution
};

// To either side of a step, and the least distance from the picture's border at which one can be measured.
inline constexpr int kStepReachPx = 6;

// The step through a pixel, along its steepest rise. Empty where it is lower than `least_height` or no step
// between two levels: an end that is uneven, or a line or a spot within reach.
[[nodiscard]] std::optional<PlainStep> plain_step_at(const cv::Mat& picture, const Rises& rises,
                                                     cv::Point place, double least_height, double noise);

}  // namespace platewise
