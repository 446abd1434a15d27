#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// Values of a CV_32FC1 image where a mask of its size is set, row by row.
[[nodiscard]] std::vector<float> values_in(const cv::Mat& image, const cv::Mat& mask);

// Share of `whole` that `part` covers; both CV_8UC1 of one size. Zero where `whole` is empty.
[[nodiscard]] double share_of(const cv::Mat& part, const cv::Mat& whole);

// A round structuring element.
[[nodiscard]] cv::Mat disc(int radius);

}  // namespace platewise
