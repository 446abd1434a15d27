#include "row_directions.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

constexpr double kQuarterTurn = 90.0;
constexpr int kBins = 180;  // half degrees

// Grain has edges in all directions, and most of the picture is grain: only what stands out of the calmer
// third of the picture counts.
float edge_threshold(const cv::Mat& size) {
  constexpr float kLeast = 0.02F;
  constexpr double kCalmShare = 0.3;
  constexpr float kAboveCalm = 4.0F;  // 3.4 sigmas of pure grain
  constexpr int kEach = 7;            // pixels are plenty
  std::vector<float> values;
  for (int i = 0; i < static_cast<int>(size.total()); i += kEach) {
    values.push_back(size.at<float>(i / size.cols, i % size.cols));
  }
  if (values.empty()) return kLeast;
  const auto calm =
      values.begin() + static_cast<std::ptrdiff_t>(kCalmShare * static_cast<double>(values.size()));
  std::nth_element(values.begin(), calm, values.end());
  return std::max(kLeast, kAboveCalm * *calm);
}

// How much edge the picture has in each direction.
std::vector<double> direction_histogram(const cv::Mat& log_light) {
  cv::Mat smooth;
  cv::GaussianBlur(log_light, smooth, {}, 1.2);
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(smooth, dx, CV_32F, 1, 0);
  cv::Sobel(smooth, dy, CV_32F, 0, 1);
  cv::Mat size;
  cv::magnitude(dx, dy, size);
  const float noise = edge_threshold(size);
  constexpr float kClip = 0.5F;  // strong outer borders must not hide the steps
  std::vector<double> histogram(kBins, 0.0);
  for (int y = 0; y < dx.rows; ++y) {
    for (int x = 0; x < dx.cols; ++x) {
      const float gx = dx.at<float>(y, x);
      const float gy = dy.at<float>(y, x);
      const float here = size.at<float>(y, x);
      if (here < noise) continue;
      const double angle = std::atan2(gy, gx) * 180.0 / std::numbers::pi + 360.0;
      const auto bin =
          static_cast<std::size_t>(std::fmod(angle, kQuarterTurn) * kBins / kQuarterTurn) % kBins;
      histogram[bin] += std::min(here, kClip);
    }
  }
  return histogram;
}

}  // namespace

std::vector<double> edge_directions_deg(const cv::Mat& log_light) {
  const std::vector<double> histogram = direction_histogram(log_light);
  const auto smoothed = [&](int bin) {
    double sum = 0.0;
    for (int d = -2; d <= 2; ++d)
      sum += (3 - std::abs(d)) * histogram[static_cast<std::size_t>((bin + d + kBins) % kBins)];
    return sum;
  };
  std::vector<double> directions;
  std::vector<double> rest(kBins);
  for (int bin = 0; bin < kBins; ++bin) rest[static_cast<std::size_t>(bin)] = smoothed(bin);
  constexpr int kPeaks = 3;
  for (int peak = 0; peak < kPeaks; ++peak) {
    const auto at = static_cast<int>(std::max_element(rest.begin(), rest.end()) - rest.begin());
    if (rest[static_cast<std::size_t>(at)] <= 0.0) break;
    // Centroid of the peak, to a tenth of a degree.
    double weight = 0.0;
    double mean = 0.0;
    for (int d = -3; d <= 3; ++d) {
      const double h = histogram[static_cast<std::size_t>((at + d + kBins) % kBins)];
      weight += h;
      mean += h * (at + d + 0.5) * kQuarterTurn / kBins;
    }
    if (weight > 0.0) directions.push_back(std::remainder(mean / weight, kQuarterTurn));
    for (int d = -10; d <= 10; ++d) rest[static_cast<std::size_t>((at + d + kBins) % kBins)] = 0.0;
  }
  return directions;
}

StepRow turned_by(const cv::Mat& log_light, double angle_deg) {
  const double angle = angle_deg * std::numbers::pi / 180.0;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  const double w = log_light.cols;
  const double h = log_light.rows;
  const int width = static_cast<int>(std::ceil(std::abs(c) * w + std::abs(s) * h - 1e-6));
  const int height = static_cast<int>(std::ceil(std::abs(s) * w + std::abs(c) * h - 1e-6));
  StepRow row;
  row.source_from_turned << c, -s, w / 2 - c * width / 2 + s * height / 2, s, c,
      h / 2 - s * width / 2 - c * height / 2, 0, 0, 1;
  Homography map;
  map.matrix = row.source_from_turned;
  row.turned = resampled(log_light, map, width, height);
  return row;
}

}  // namespace platewise
