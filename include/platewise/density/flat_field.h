#pragma once

#include <opencv2/core.hpp>

#include "platewise/core/result.h"
#include "platewise/read/scan.h"

namespace platewise {

// How light falls over the frame, from a blank sheet scanned in the same light and framing.
struct FlatField {
  cv::Mat relative;    // CV_32FC1, size of the working scan, median 1; dust and paper grain smoothed away
  double level = 1.0;  // median linear luminance of the sheet
};

// Fails when the sheet's frame has other proportions than the scan's, or is dark: not a blank sheet.
[[nodiscard]] Result<FlatField> flat_field(const Scan& flat, const Scan& scan);

}  // namespace platewise
