#include "lens_spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr std::array kRadiiPx{0.5, 1.0, 1.5, 2.0, 3.0, 4.5, 7.0, 11.0, 18.0, 28.0};

constexpr double kLargestMovedPx = 3.5;  // larger discs look the same wherever their middle lies
constexpr double kRadiusFloorU = 0.2;    // px; counting whole pixels and noise move the outline by as much

// A disc blurred to the softness, its middle off a pixel's by `off_px`; Sobel's own smoothing is part of
// `softness_px` and is taken off.
cv::Mat drawn_disc(double radius_px, double softness_px, cv::Point2d off_px) {
  constexpr int kFine = 4;
  constexpr double kSobelSigma = 0.65;  // central difference over two pixels, of a hard edge
  const double sigma = std::sqrt(std::max(0.1, softness_px * softness_px - kSobelSigma * kSobelSigma));
  // The window that a blob is judged in, or as far as the blurred disc reaches.
  const int half = static_cast<int>(std::ceil(std::max(4.0 * radius_px, radius_px + 5.0 * sigma))) + 12;
  const int side = 2 * half + 1;
  cv::Mat fine(side * kFine, side * kFine, CV_32FC1);
  const double middle = (side * kFine - 1) / 2.0;
  const cv::Point2d centre(middle + off_px.x * kFine, middle + off_px.y * kFine);
  const double inner = std::max(0.0, radius_px * kFine - 1.0);  // beyond the half pixel where the disc ends
  const double outer = radius_px * kFine + 1.0;
  for (int y = 0; y < fine.rows; ++y) {
    auto* row = fine.ptr<float>(y);
    for (int x = 0; x < fine.cols; ++x) {
      const cv::Point2d off(x - centre.x, y - centre.y);
      const double squared = off.dot(off);
      if (squared < inner * inner)
        row[x] = 1.0F;
      else if (squared > outer * outer)
        row[x] = 0.0F;
      else
        row[x] = static_cast<float>(std::clamp(0.5 + radius_px * kFine - std::hypot(off.x, off.y), 0.0, 1.0));
    }
  }
  cv::GaussianBlur(fine, fine, {}, sigma * kFine);
  cv::Mat disc;
  cv::resize(fine, disc, {side, side}, 0, 0, cv::INTER_AREA);
  return disc;
}

}  // namespace

LensSpots::Size LensSpots::size_of(double radius_px, double softness_px) {
  std::vector<double> radii;
  std::vector<double> edges;
  const std::vector<double> offs =
      radius_px > kLargestMovedPx ? std::vector<double>{0.25} : std::vector<double>{-0.5, -0.25, 0.0, 0.25};
  for (const double x : offs) {
    for (const double y : offs) {
      const cv::Mat disc = drawn_disc(radius_px, softness_px, {x, y});
      const auto blob = blob_at(disc, {disc.cols / 2, disc.rows / 2}, radius_px, 1);
      if (!blob) continue;
      radii.push_back(blob->half_radius_px());
      edges.push_back(blob->edge);
    }
  }
  if (radii.empty()) return {};
  cv::Scalar radius;
  cv::Scalar radius_u;
  cv::Scalar edge;
  cv::Scalar edge_u;
  cv::meanStdDev(radii, radius, radius_u);
  cv::meanStdDev(edges, edge, edge_u);
  return {radius[0], radius_u[0], edge[0], edge_u[0]};
}

LensSpots::LensSpots(double softness_px) {
  for (const double radius : kRadiiPx)
    if (const Size size = size_of(radius, softness_px); size.edge > 0.0) sizes_.push_back(size);
  std::sort(sizes_.begin(), sizes_.end(),
            [](const Size& a, const Size& b) { return a.half_radius_px < b.half_radius_px; });
}

LensSpots::Size LensSpots::at(double half_radius_px) const {
  const auto above = std::find_if(sizes_.begin(), sizes_.end(),
                                  [&](const Size& size) { return size.half_radius_px >= half_radius_px; });
  if (above == sizes_.begin()) return sizes_.front();
  if (above == sizes_.end()) return sizes_.back();
  const Size& low = *(above - 1);
  const double u = (half_radius_px - low.half_radius_px) / (above->half_radius_px - low.half_radius_px);
  return {half_radius_px, 0.0, low.edge + u * (above->edge - low.edge),
          low.edge_u + u * (above->edge_u - low.edge_u)};
}

double LensSpots::steeper_by(const Blob& blob) const {
  if (sizes_.empty()) return 0.0;
  const double radius = blob.half_radius_px();
  const Size lens = at(radius);
  const double steeper = (blob.edge - lens.edge) / std::hypot(blob.edge_u, lens.edge_u);
  const Size& smallest = sizes_.front();
  const double smaller =
      (smallest.half_radius_px - radius) / std::hypot(smallest.half_radius_u, kRadiusFloorU);
  return radius < smallest.half_radius_px ? std::max(steeper, smaller) : steeper;
}

}  // namespace platewise
