#include "plain_step.h"

#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise {

Rises::Rises(const cv::Mat& picture) {
  cv::Sobel(picture, dx, CV_32F, 1, 0, 3, 1.0 / 8.0);
  cv::Sobel(picture, dy, CV_32F, 0, 1, 3, 1.0 / 8.0);
}

std::optional<PlainStep> plain_step_at(const cv::Mat& picture, const Rises& rises, cv::Point place,
                                       double least_height, double noise) {
  const double steepness = rises.steepness(place);
  if (steepness <= 0.0) return std::nullopt;
  const cv::Point2d uphill(rises.dx.at<float>(place) / steepness, rises.dy.at<float>(place) / steepness);
  constexpr int kLast = 2 * kStepReachPx;
  std::array<double, kLast + 1> profile{};
  for (int i = 0; i <= kLast; ++i) {
    const double t = i - kStepReachPx;
    profile[static_cast<std::size_t>(i)] =
        between_pixels(picture, place.x + t * uphill.x, place.y + t * uphill.y);
  }
  const auto mean3 = [&](int first) {
    const auto f = static_cast<std::size_t>(first);
    return (profile[f] + profile[f + 1] + profile[f + 2]) / 3.0;
  };
  const double low = mean3(0);
  const double high = mean3(kLast - 2);
  const double height = high - low;
  if (height < least_height) return std::nullopt;
  const double loose = 0.1 * height + 2.0 * noise;
  for (const double value : profile)
    if (value < low - loose || value > high + loose) return std::nullopt;
  if (std::abs(profile[0] - profile[2]) > loose || std::abs(profile[kLast] - profile[kLast - 2]) > loose)
    return std::nullopt;
  constexpr double kOneOverSqrt2Pi = std::numbers::inv_sqrtpi / std::numbers::sqrt2;
  return PlainStep{height, kOneOverSqrt2Pi * height / steepness};
}

}  // namespace platewise
