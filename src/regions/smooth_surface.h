#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// A tone as a smooth surface over the plate: uneven light in a photo, fog that grows toward one side. Least
// squares over the pixels of `where`, reweighted so that bare support and stains do not pull it. Empty when
// too few pixels tell. `tone` is CV_32FC1, `where` CV_8UC1 of its size.
[[nodiscard]] cv::Mat fitted_surface(const cv::Mat& tone, const cv::Mat& where);

}  // namespace platewise
