#include "support_tone.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "plate_masks.h"

namespace platewise {

double quantile_in(const cv::Mat& picture, const cv::Mat& mask, double share) {
  std::vector<float> values;
  for (int y = 0; y < mask.rows; y += 2)
    for (int x = 0; x < mask.cols; x += 2)
      if (mask.at<std::uint8_t>(y, x) != 0) values.push_back(picture.at<float>(y, x));
  if (values.empty()) return 0.0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

namespace {

constexpr double kLeastUneven = 0.01;

}  // namespace

double PieceTone::same() const {
  return middle + std::max(kLeastUneven, 2.0 * spread);
}

PieceTone piece_tone(const cv::Mat& smooth, const cv::Mat& piece, cv::Rect window, double step) {
  constexpr double kMostUneven = 0.25;  // of the step
  constexpr double kMostUnevenAtAll = 0.04;
  constexpr int kFewestPx = 20;
  PieceTone tone;
  cv::Mat core;
  cv::erode(piece, core, cv::Mat::ones(7, 7, CV_8U), {-1, -1}, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
  if (cv::countNonZero(core) < kFewestPx) return tone;
  const cv::Mat part = smooth(window);
  tone.middle = quantile_in(part, core, 0.5);
  tone.spread = 0.5 * (quantile_in(part, core, 0.9) - quantile_in(part, core, 0.1));
  tone.is_even = tone.spread <= std::max(kLeastUneven, std::min(kMostUnevenAtAll, kMostUneven * step));
  return tone;
}

double share_as_dark(const cv::Mat& smooth, const cv::Mat& where, const cv::Mat& but, const cv::Mat& piece,
                     cv::Rect window, double silver) {
  cv::Mat counted = where.clone();
  if (!but.empty()) counted.setTo(0, but);
  const int all = cv::countNonZero(counted);
  cv::Mat near;
  cv::dilate(piece, near, cv::Mat::ones(9, 9, CV_8U));
  const cv::Point first(window.x % 2, window.y % 2);
  near = every_second(near, first);
  counted(cv::Rect((window.tl() + first) / 2, near.size())).setTo(0, near);
  // As CV_32FC1 is compared: the greatest float that is not above.
  auto limit = static_cast<float>(silver);
  if (limit > silver) limit = std::nextafter(limit, std::numeric_limits<float>::lowest());
  const int as_dark = cv::countNonZero((smooth <= limit) & counted);
  return static_cast<double>(as_dark) / std::max(1, all);
}

}  // namespace platewise
