#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// Apertures that a speck, pinhole or piece of a comet changed (CV_8UC1, 255): far from the median of their 5
// x 5 surroundings, measured by the roughness of the picture there, and alone. Lace and foliage are rough all
// over and stay in.
[[nodiscard]] cv::Mat speck_apertures(const cv::Mat& grid);

}  // namespace platewise
