#include "picture_softness.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr int kHalfProfilePx = 6;
constexpr int kProfilePx = 2 * kHalfProfilePx + 1;
constexpr double kLeastStep = 0.06;  // density
constexpr double kLeastStepGrains = 12.0;
constexpr std::size_t kFewestSteps = 150;
constexpr double kSharpestShare = 0.05;
const double kSigmaOfSlope = 0.39894;  // 1 / sqrt(2 pi)

float at(const cv::Mat& picture, double x, double y) {
  const int x0 = static_cast<int>(x);
  const int y0 = static_cast<int>(y);
  const auto fx = static_cast<float>(x - x0);
  const auto fy = static_cast<float>(y - y0);
  const float* above = picture.ptr<float>(y0) + x0;
  const float* below = picture.ptr<float>(y0 + 1) + x0;
  return (1 - fy) * ((1 - fx) * above[0] + fx * above[1]) + fy * ((1 - fx) * below[0] + fx * below[1]);
}

// Softness of the step through a pixel; empty where the profile is no step between two levels.
std::optional<double> step_softness(const cv::Mat& silver, cv::Point place, cv::Point2d uphill, double slope,
                                    double grain) {
  std::array<double, kProfilePx> profile{};
  for (int i = 0; i < kProfilePx; ++i) {
    const double t = i - kHalfProfilePx;
    profile[static_cast<std::size_t>(i)] = at(silver, place.x + t * uphill.x, place.y + t * uphill.y);
  }
  const auto mean3 = [&](int first) {
    const auto f = static_cast<std::size_t>(first);
    return (profile[f] + profile[f + 1] + profile[f + 2]) / 3.0;
  };
  const double low = mean3(0);
  const double high = mean3(2 * kHalfProfilePx - 2);
  const double step = high - low;
  if (step < std::max(kLeastStep, kLeastStepGrains * grain)) return std::nullopt;
  // Two levels: both ends even, and nothing between that lies beyond them (a line or a spot).
  const double loose = 0.1 * step + 2.0 * grain;
  for (const double value : profile)
    if (value < low - loose || value > high + loose) return std::nullopt;
  if (std::abs(profile[0] - profile[2]) > loose ||
      std::abs(profile[2 * kHalfProfilePx] - profile[2 * kHalfProfilePx - 2]) > loose)
    return std::nullopt;
  return kSigmaOfSlope * step / slope;
}

}  // namespace

std::optional<double> picture_softness_px(const Evidence& evidence) {
  const cv::Mat& silver = evidence.silver;
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(silver, dx, CV_32F, 1, 0, 3, 1.0 / 8.0);
  cv::Sobel(silver, dy, CV_32F, 0, 1, 3, 1.0 / 8.0);
  cv::Mat slope;
  cv::magnitude(dx, dy, slope);
  const double least_slope =
      kSigmaOfSlope * std::max(kLeastStep, kLeastStepGrains * evidence.grain) / kHalfProfilePx;
  const cv::Mat inside = evidence.regions->picture.inside.empty()
                             ? evidence.film.inside
                             : cv::Mat(evidence.film.inside & evidence.regions->picture.inside);
  std::vector<double> softness;
  const int edge = kHalfProfilePx + 2;
  for (int y = edge; y < silver.rows - edge; ++y) {
    for (int x = edge; x < silver.cols - edge; ++x) {
      const double rise = slope.at<float>(y, x);
      if (rise < least_slope || inside.at<std::uint8_t>(y, x) == 0) continue;
      const cv::Point2d uphill(dx.at<float>(y, x) / rise, dy.at<float>(y, x) / rise);
      if (at(slope, x + uphill.x, y + uphill.y) > rise || at(slope, x - uphill.x, y - uphill.y) > rise)
        continue;
      if (const auto sigma = step_softness(silver, {x, y}, uphill, rise, evidence.grain))
        softness.push_back(*sigma);
    }
  }
  if (softness.size() < kFewestSteps) return std::nullopt;
  const auto at_share =
      softness.begin() + static_cast<std::ptrdiff_t>(kSharpestShare * static_cast<double>(softness.size()));
  std::nth_element(softness.begin(), at_share, softness.end());
  return *at_share;
}

}  // namespace platewise
