#pragma once

#include <opencv2/core.hpp>

#include "platewise/faults/evidence.h"

namespace platewise {

// The holder's opening as a mask of the plate's size (CV_8UC1); empty when no rim was seen.
[[nodiscard]] cv::Mat holder_opening_of(const Evidence& evidence);

// Distance of each pixel of a mask (CV_8UC1) to where the mask or the picture ends, pixels (CV_32FC1).
[[nodiscard]] cv::Mat distance_within(const cv::Mat& mask);

// A mask (CV_8UC1) dilated by an element; only near the mask is work done.
[[nodiscard]] cv::Mat grown_by(const cv::Mat& mask, const cv::Mat& element);

// Every second pixel of every second row from `first` on, of a CV_8UC1 or CV_32FC1 picture.
[[nodiscard]] cv::Mat every_second(const cv::Mat& picture, cv::Point first = {});

}  // namespace platewise
