#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// Share of the picture's apertures that lie within 2 grain sigmas of `end` or beyond it, and whose 3 x 3
// neighbours differ no more than grain makes them: shadows (or lights) without detail.
// `beyond`: +1 where beyond means denser, -1 where it means lighter. `grain` is one sigma of a pixel,
// `aperture_noise` of an aperture's mean.
[[nodiscard]] double empty_fraction(const cv::Mat& grid, double end, int beyond, double grain,
                                    double aperture_noise);

}  // namespace platewise
