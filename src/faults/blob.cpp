#include "blob.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

constexpr double kWindowRadii = 4.0;
constexpr int kLeastWindowPx = 8;

float median_of(std::vector<float> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

float border_median(const cv::Mat& window) {
  std::vector<float> values;
  for (int y = 0; y < window.rows; ++y) {
    for (int x = 0; x < window.cols; ++x) {
      const int depth = std::min({x, y, window.cols - 1 - x, window.rows - 1 - y});
      if (depth < std::max(2, window.cols / 8)) values.push_back(window.at<float>(y, x));
    }
  }
  return median_of(std::move(values));
}

double steepest_rise(const cv::Mat& window, const cv::Mat& near_spot) {
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(window, dx, CV_32F, 1, 0, 3, 1.0 / 8.0);
  cv::Sobel(window, dy, CV_32F, 0, 1, 3, 1.0 / 8.0);
  cv::Mat rise;
  cv::magnitude(dx, dy, rise);
  double greatest = 0.0;
  cv::minMaxLoc(rise, nullptr, &greatest, nullptr, nullptr, near_spot);
  return greatest;
}

}  // namespace

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
  const cv::RotatedRect tight = cv::minAreaRect(outlines.front());
  Blob blob;
  blob.outline = outlines.front();
  blob.area_px = cv::countNonZero(spot);
  blob.length_px = std::max(tight.size.width, tight.size.height) + 1.0;
  blob.width_px = std::min(tight.size.width, tight.size.height) + 1.0;
  blob.contrast = cv::mean(window, spot)[0] - around;
  cv::Mat near_spot;
  cv::dilate(spot, near_spot, cv::getStructuringElement(cv::MORPH_ELLIPSE, {3, 3}));
  blob.sharpness = steepest_rise(window, near_spot) / std::max(1e-6, blob.contrast);
  return blob;
}

}  // namespace platewise
