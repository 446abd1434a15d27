#include "support_tone.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

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

SupportTone support_tone(const TonesOfPlate& plate, const cv::Mat& piece, cv::Rect window, double step) {
  constexpr double kMostUneven = 0.25;  // of the step
  constexpr double kLeastUneven = 0.01;
  constexpr int kFewestPx = 20;
  SupportTone tone;
  cv::Mat core;
  cv::erode(piece, core, cv::Mat::ones(7, 7, CV_8U), {-1, -1}, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
  if (cv::countNonZero(core) < kFewestPx) return tone;
  const cv::Mat smooth = plate.smooth(window);
  const double middle = quantile_in(smooth, core, 0.5);
  const double spread = 0.5 * (quantile_in(smooth, core, 0.9) - quantile_in(smooth, core, 0.1));
  tone.is_even = spread <= std::max(kLeastUneven, kMostUneven * step);
  if (!tone.is_even) return tone;
  tone.in_picture = 2 * cv::countNonZero(piece & plate.picture(window)) > cv::countNonZero(piece);
  const cv::Mat& where = tone.in_picture ? plate.picture : plate.film;
  cv::Mat as_dark = (plate.smooth <= middle + std::max(kLeastUneven, 2.0 * spread)) & where;
  cv::Mat near;
  cv::dilate(piece, near, cv::Mat::ones(9, 9, CV_8U));
  as_dark(window).setTo(0, near);
  tone.as_dark = static_cast<double>(cv::countNonZero(as_dark)) / std::max(1, cv::countNonZero(where));
  return tone;
}

}  // namespace platewise
