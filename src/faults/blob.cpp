#include "blob.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr double kWindowRadii = 4.0;
constexpr int kLeastWindowPx = 9;
constexpr double kPlainestShare = 0.1;
constexpr double kRingFromPx = 2.5;  // beyond the reach of a scanner's blur
constexpr double kRingWidthPx = 4.0;
constexpr double kPixelsPerSample = 4.0;  // neighbouring rises are not independent
constexpr double kEdgeFloorU = 0.04;      // shape and sampling, by how renderings of discs scatter

float quantile_of(std::vector<float> values, double share) {
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

std::vector<float> values_in(const cv::Mat& picture, const cv::Mat& mask) {
  std::vector<float> values;
  for (int y = 0; y < mask.rows; ++y)
    for (int x = 0; x < mask.cols; ++x)
      if (mask.at<std::uint8_t>(y, x) != 0) values.push_back(picture.at<float>(y, x));
  return values;
}

float border_median(const cv::Mat& window) {
  std::vector<float> values;
  for (int y = 0; y < window.rows; ++y) {
    for (int x = 0; x < window.cols; ++x) {
      const int depth = std::min({x, y, window.cols - 1 - x, window.rows - 1 - y});
      if (depth < std::max(2, window.cols / 8)) values.push_back(window.at<float>(y, x));
    }
  }
  return quantile_of(std::move(values), 0.5);
}

cv::Mat ring_around(const cv::Mat& spot) {
  cv::Mat away;
  cv::distanceTransform(spot == 0, away, cv::DIST_L2, cv::DIST_MASK_3);
  return (away > kRingFromPx) & (away <= kRingFromPx + kRingWidthPx);
}

// Squared rise across one pixel.
cv::Mat rise_squared(const cv::Mat& window) {
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(window, dx, CV_32F, 1, 0, 3, 1.0 / 8.0, 0.0, cv::BORDER_REPLICATE);
  cv::Sobel(window, dy, CV_32F, 0, 1, 3, 1.0 / 8.0, 0.0, cv::BORDER_REPLICATE);
  return dx.mul(dx) + dy.mul(dy);
}

// The outline lies between pixels: both sides of it.
cv::Mat along_outline(const cv::Mat& spot) {
  cv::Mat grown;
  cv::Mat shrunk;
  const cv::Mat cross = cv::getStructuringElement(cv::MORPH_CROSS, {3, 3});
  cv::dilate(spot, grown, cross);
  cv::erode(spot, shrunk, cross);
  return grown & ~shrunk;
}

void measure_edge(Blob& blob, const cv::Mat& window, const cv::Mat& spot, const cv::Mat& ring) {
  const cv::Mat squared = rise_squared(window);
  const cv::Mat outline = along_outline(spot);
  const double of_ring = quantile_of(values_in(squared, ring), 0.5) / std::numbers::ln2;  // mean of squares
  const double of_edge = cv::mean(squared, outline)[0];
  blob.edge = std::sqrt(std::max(0.0, of_edge - of_ring)) / blob.contrast;
  const double samples = std::max(1.0, cv::countNonZero(outline) / kPixelsPerSample);
  blob.edge_u = std::hypot(kEdgeFloorU * blob.edge, std::sqrt(of_ring / samples) / blob.contrast);
}

}  // namespace

double Blob::half_radius_px() const {
  return std::sqrt(area_px / std::numbers::pi);
}

std::optional<Blob> blob_at(const cv::Mat& silver, cv::Point seed, double radius_px, int sign) {
  const int reach = std::max(kLeastWindowPx, static_cast<int>(std::ceil(kWindowRadii * radius_px)));
  const cv::Rect box = cv::Rect(seed.x - reach, seed.y - reach, 2 * reach + 1, 2 * reach + 1) &
                       cv::Rect(0, 0, silver.cols, silver.rows);
  const cv::Mat window = silver(box) * static_cast<double>(sign);
  const cv::Point centre = seed - box.tl();
  const float around = border_median(window);
  const cv::Rect core_box =
      cv::Rect(centre.x - 1, centre.y - 1, 3, 3) & cv::Rect(0, 0, window.cols, window.rows);
  double peak = 0.0;
  cv::Point peak_at;
  cv::minMaxLoc(window(core_box), nullptr, &peak, nullptr, &peak_at);
  peak_at += core_box.tl();
  if (peak - around <= 0) return std::nullopt;

  cv::Mat labels;
  const cv::Mat standing_out = window > (around + peak) / 2.0;
  cv::connectedComponents(standing_out, labels, 8, CV_32S);
  const cv::Mat spot = labels == labels.at<int>(peak_at);
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(spot.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE, box.tl());
  if (outlines.empty()) return std::nullopt;
  const cv::Rect extent = cv::boundingRect(outlines.front());
  if (extent.x <= box.x || extent.y <= box.y || extent.x + extent.width >= box.x + box.width ||
      extent.y + extent.height >= box.y + box.height) {
    return std::nullopt;
  }
  const cv::Mat ring = ring_around(spot);
  if (cv::countNonZero(ring) == 0) return std::nullopt;
  const cv::RotatedRect tight = cv::minAreaRect(outlines.front());
  Blob blob;
  blob.outline = outlines.front();
  blob.area_px = cv::countNonZero(spot);
  blob.length_px = std::max(tight.size.width, tight.size.height) + 1.0;
  blob.width_px = std::min(tight.size.width, tight.size.height) + 1.0;
  blob.contrast = quantile_of(values_in(window, spot), 1.0 - kPlainestShare) -
                  static_cast<double>(quantile_of(values_in(window, ring), 0.5));
  if (blob.contrast <= 0) return std::nullopt;
  measure_edge(blob, window, spot, ring);
  return blob;
}

}  // namespace platewise
