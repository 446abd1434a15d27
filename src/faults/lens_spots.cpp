#include "lens_spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr std::array kRadiiPx{0.5, 1.0, 1.5, 2.0, 3.0, 4.5, 7.0, 11.0, 18.0, 28.0};

// A disc blurred to the softness; Sobel's own smoothing is part of `softness_px` and is taken off.
cv::Mat drawn_disc(double radius_px, double softness_px) {
  constexpr int kFine = 4;
  constexpr double kSobelSigma = 0.65;  // central difference over two pixels, of a hard edge
  const double sigma = std::sqrt(std::max(0.1, softness_px * softness_px - kSobelSigma * kSobelSigma));
  const int half = static_cast<int>(std::ceil(5.0 * radius_px + 5.0 * sigma)) + 12;
  const int side = 2 * half + 1;
  cv::Mat fine(side * kFine, side * kFine, CV_32FC1);
  const double centre = (side * kFine - 1) / 2.0;
  for (int y = 0; y < fine.rows; ++y)
    for (int x = 0; x < fine.cols; ++x)
      fine.at<float>(y, x) = static_cast<float>(
          std::clamp(0.5 + radius_px * kFine - std::hypot(x - centre, y - centre), 0.0, 1.0));
  cv::GaussianBlur(fine, fine, {}, sigma * kFine);
  cv::Mat disc;
  cv::resize(fine, disc, {side, side}, 0, 0, cv::INTER_AREA);
  return disc;
}

}  // namespace

LensSpots::LensSpots(double softness_px) {
  for (const double radius : kRadiiPx) {
    const cv::Mat disc = drawn_disc(radius, softness_px);
    const auto blob = blob_at(disc, {disc.cols / 2, disc.rows / 2}, radius, 1);
    if (blob) sizes_.push_back({blob->half_radius_px(), blob->edge});
  }
  std::sort(sizes_.begin(), sizes_.end(),
            [](const Size& a, const Size& b) { return a.half_radius_px < b.half_radius_px; });
}

double LensSpots::steeper_by(const Blob& blob) const {
  const double radius = blob.half_radius_px();
  double edge = sizes_.empty() ? 1.0 : sizes_.back().edge;
  for (std::size_t i = 0; i < sizes_.size(); ++i) {
    if (radius > sizes_[i].half_radius_px) continue;
    if (i == 0) {
      edge = sizes_[i].edge;
      break;
    }
    const Size& below = sizes_[i - 1];
    const double span = std::max(1e-9, sizes_[i].half_radius_px - below.half_radius_px);
    const double u = (radius - below.half_radius_px) / span;
    edge = below.edge + u * (sizes_[i].edge - below.edge);
    break;
  }
  return (blob.edge - edge) / blob.edge_u;
}

}  // namespace platewise
