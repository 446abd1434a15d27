#pragma once

#include "platewise/raster/image.h"

namespace platewise {

// EXIF/TIFF orientation 1..8 (Exif 2.3, tag 0x0112): how the stored picture is brought upright. Columns and
// rows below are those of the stored picture.
struct OrientationSteps {
  bool flips_cols = false;  // the stored columns run backwards
  bool flips_rows = false;
  bool swaps_axes = false;  // after the flips
};

// Anything but 2..8 means "as stored".
[[nodiscard]] OrientationSteps steps_of(int orientation);

[[nodiscard]] cv::Mat turned(const cv::Mat& stored, const OrientationSteps& steps);
[[nodiscard]] LinearImage turned(LinearImage stored, const OrientationSteps& steps);

}  // namespace platewise
