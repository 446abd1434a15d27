#include "masked_values.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace platewise {

std::vector<float> values_in(const cv::Mat& image, const cv::Mat& mask) {
  std::vector<float> values;
  for (int y = 0; y < image.rows; ++y) {
    const auto* chosen = mask.ptr<std::uint8_t>(y);
    const auto* value = image.ptr<float>(y);
    for (int x = 0; x < image.cols; ++x) {
      if (chosen[x] != 0) values.push_back(value[x]);
    }
  }
  return values;
}

double share_of(const cv::Mat& part, const cv::Mat& whole) {
  return cv::countNonZero(part & whole) / std::max(1.0, static_cast<double>(cv::countNonZero(whole)));
}

cv::Mat disc(int radius) {
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * radius + 1, 2 * radius + 1});
}

}  // namespace platewise
