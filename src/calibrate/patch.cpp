#include "patch.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kMiddleShare = 0.6;  // of either side: borders, lines and their blur stay outside
constexpr int kSideMaxPx = 90;        // enough pixels for any mean
constexpr double kReach = 2.5;        // robust sigmas that are kept: digits and dust lie farther out

Quad shrunk(const Quad& quad, double share) {
  Point centre;
  for (const Point& corner : quad) centre = centre + 0.25 * corner;
  Quad inner;
  for (std::size_t i = 0; i < 4; ++i) inner[i] = centre + share * (quad[i] - centre);
  return inner;
}

std::vector<double> finite_values(const cv::Mat& picture) {
  std::vector<double> values;
  for (int y = 0; y < picture.rows; ++y) {
    for (int x = 0; x < picture.cols; ++x) {
      if (std::isfinite(picture.at<float>(y, x))) values.push_back(picture.at<float>(y, x));
    }
  }
  return values;
}

// Standard error of the mean that slow unevenness across the patch leaves: spread of the medians of 3 x 3
// tiles, a third of it as for nine independent ones, times two because neighbouring tiles are alike.
double unevenness_u(const cv::Mat& patch) {
  constexpr int kTiles = 3;
  std::vector<double> medians;
  for (int ty = 0; ty < kTiles; ++ty) {
    for (int tx = 0; tx < kTiles; ++tx) {
      const cv::Range rows(ty * patch.rows / kTiles, (ty + 1) * patch.rows / kTiles);
      const cv::Range cols(tx * patch.cols / kTiles, (tx + 1) * patch.cols / kTiles);
      const std::vector<double> values = finite_values(patch(rows, cols));
      if (!values.empty()) medians.push_back(median(values));
    }
  }
  return medians.size() < 3 ? 0.0 : 2.0 * robust_sigma(medians) / kTiles;
}

}  // namespace

FoundStep measured_patch(const cv::Mat& luminance, const Quad& outline) {
  const Quad inner = shrunk(outline, kMiddleShare);
  const auto side = [](double length) {
    return std::clamp(static_cast<int>(std::lround(length)), 3, kSideMaxPx);
  };
  const int width = side(distance(inner[0], inner[1]));
  const int height = side(distance(inner[1], inner[2]));
  const cv::Mat patch =
      resampled(luminance, target_from_source(rectangle(width, height), inner), width, height);
  const std::vector<double> values = finite_values(patch);
  FoundStep step;
  step.outline_px = outline;
  if (values.empty()) return step;
  step.signal = robust_mean(values, kReach);
  step.pixel_sigma = robust_sigma(values);
  step.signal.u = std::hypot(step.signal.u, unevenness_u(patch));
  return step;
}

}  // namespace platewise
