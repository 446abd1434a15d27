#pragma once

#include <optional>

#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"
#include "platewise/density/density_errors.h"
#include "platewise/raster/image.h"

namespace platewise {

// The plate rectified into its own frame, in density.
// Without a device file the densities carry an unknown common offset: true density = density + offset,
// offset 0 +- 0.25 D before anything that is not picture has pulled it.
struct PlateDensity {
  DensityImage image;  // offset already added; NaN outside the plate
  cv::Mat
      lowest;  // CV_32FC1 density of the lightest source value in each pixel (specks survive the shrinking)
  cv::Mat highest;     // CV_32FC1 density of the darkest source value
  ColourImage colour;  // of a colour scan, about 3 px/mm
  // Side of the square that a tone is averaged over: 5 pixels at 12 px/mm; without a scale the same share of
  // a plate 1600 px long. Fixed on the plate, so that a finer or coarser scan measures the same tones.
  double aperture_units = 5.0 / 12.0;
  bool calibrated = false;
  Quantity offset;       // value is what was added; u is common to all densities of this plate
  DensityErrors errors;  // the offset's and all others that the plate's densities share
  double flare = 0.0;    // share of full scale taken off before the logarithm; 0 with a device curve
  Warnings warnings;
};

}  // namespace platewise
