#pragma once

#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/raster/image.h"

namespace platewise {

// Resamples `source` (any float type) so that target pixel centres are looked up through source_from_target
// (continuous pixel coordinates on both sides). Where the map shrinks, the source is box-averaged first, so
// that a target pixel is a mean over its aperture. Outside the source: NaN.
[[nodiscard]] cv::Mat resampled(const cv::Mat& source, const Homography& source_from_target, int width,
                                int height);

// Mean over size x size pixels, ignoring NaN; NaN where more than half of the aperture has no value.
[[nodiscard]] cv::Mat aperture_mean(const cv::Mat& image, int size);

// Robust one-sigma noise of single pixels: from the differences that remain after removing local planes
// (a 3x3 Laplacian-like mask, its median absolute value scaled for a Gaussian; Immerkaer 1996, with the
// median in place of the mean). Only where `where` is set and nothing is NaN. 0 when there are fewer than 100
// pixels.
[[nodiscard]] double pixel_noise(const cv::Mat& image, const Mask& where);

// The inside of outlines given in plate units, as a mask of the plate's picture.
[[nodiscard]] Mask filled(const std::vector<Polygon>& outlines_units, const DensityImage& plate);

// Linear light (full scale 1, NaN black) as a grey picture for eyes, at most `long_side_px` long, never
// enlarged. sRGB encoding: IEC 61966-2-1.
[[nodiscard]] ColourPicture display_picture(const cv::Mat& linear, int long_side_px);

}  // namespace platewise
