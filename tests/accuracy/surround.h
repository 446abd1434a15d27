#pragma once

#include <opencv2/core.hpp>

#include "accuracy/random.h"

namespace platewise::heldout {

// What lies around the plate, as linear light, CV_32FC3, on a raster of so many pixels a millimetre.
[[nodiscard]] cv::Mat table_top(Random& random, cv::Size size,
                                double px_per_mm);  // wood, cloth, paper or stone
[[nodiscard]] cv::Mat white_lid(Random& random, cv::Size size, double px_per_mm);
[[nodiscard]] cv::Mat black_bed(Random& random, cv::Size size, double px_per_mm);
[[nodiscard]] cv::Mat light_table(Random& random, cv::Size size);
[[nodiscard]] cv::Mat wood(Random& random, cv::Size size, double px_per_mm);
[[nodiscard]] cv::Mat cloth(Random& random, cv::Size size, double px_per_mm);
[[nodiscard]] cv::Mat paper(Random& random, cv::Size size, double px_per_mm);
[[nodiscard]] cv::Mat stone(Random& random, cv::Size size, double px_per_mm);

}  // namespace platewise::heldout
