#pragma once

#include <functional>

#include "platewise/density/device_curve.h"
#include "platewise/locate/plate_outline.h"
#include "platewise/read/scan.h"

namespace platewise {

// A scan whose linear luminance is a function of working-pixel position, for tests.
inline Scan scan_of(int width, int height, const std::function<double(double, double)>& luminance) {
  Scan scan;
  scan.path = "drawn.tif";
  scan.width_px = width;
  scan.height_px = height;
  scan.bits = 16;
  scan.colour_profile = "linear grey";
  scan.image.luminance.create(height, width, CV_32FC1);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      scan.image.luminance.at<float>(y, x) = static_cast<float>(luminance(x + 0.5, y + 0.5));
    }
  }
  scan.image.darkest = scan.image.luminance.clone();
  scan.image.lightest = scan.image.luminance.clone();
  return scan;
}

// The whole frame as a plate of `px_per_mm`.
inline PlateOutline frame_outline(const Scan& scan, double px_per_mm) {
  PlateOutline outline;
  outline.found = true;
  outline.corners_px = rectangle(scan.width_px, scan.height_px);
  outline.scale.millimetres = true;
  outline.scale.width_units = scan.width_px / px_per_mm;
  outline.scale.height_units = scan.height_px / px_per_mm;
  return outline;
}

// A scanner that reads D = -log10(signal) exactly, as from a wedge with steps every 0.15 D.
inline DeviceCurve exact_device(double u = 0.003) {
  DeviceCurve device;
  for (int step = 20; step >= 0; --step) device.knots.push_back({-0.15 * step, 0.15 * step, u});
  device.range_min = 0.0;
  device.range_max = 3.0;
  device.colour_profile = "linear grey";
  return device;
}

}  // namespace platewise
