#pragma once

#include <optional>

#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"
#include "platewise/raster/image.h"

namespace platewise {

// The plate rectified into its own frame, in density.
// Without a device file the densities carry an unknown common offset: true density = density + offset,
// offset 0 +- 0.25 D before anything that is not picture has pulled it.
struct PlateDensity {
  DensityImage image;  // offset already added; NaN outside the plate
  cv::Mat
      lowest;  // CV_32FC1 density of the lightest source value in each pixel (specks survive the shrinking)
  cv::Mat highest;      // CV_32FC1 density of the darkest source value
  cv::Mat rgb_density;  // CV_32FC3 raw density per channel without offset, empty for grey scans
  bool calibrated = false;
  Quantity offset;  // value is what was added; u is common to all densities of this plate
  // u of a density on top of the offset's, from the device curve or the unknown flare: at density d it is
  // u_at(d). Differences between nearby densities share most of it.
  double device_u_base = 0.0;
  double device_u_per_density = 0.0;
  Warnings warnings;
};

}  // namespace platewise
