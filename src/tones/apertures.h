#pragma once

#include <opencv2/core.hpp>

#include "platewise/raster/image.h"

namespace platewise {

// Mean densities over a grid of square apertures that lie side by side (CV_32FC1), NaN where less than half
// of an aperture is inside `where`. The side is fixed in plate units, so any resolution gives the same grid.
[[nodiscard]] cv::Mat aperture_grid(const DensityImage& plate, const Mask& where, double side_units);

// `mask` without the band of `inset_px` along its border; the picture's frame counts as border.
[[nodiscard]] Mask inset(const Mask& mask, int inset_px);

}  // namespace platewise
