#include "accuracy/calibration/scanning.h"

#include <algorithm>
#include <cmath>

namespace platewise::simulated {
namespace {

double encoded8(double light) {
  const double code = light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
  const double rounded = std::round(std::clamp(code, 0.0, 1.0) * 255.0) / 255.0;
  return rounded <= 0.04045 ? rounded / 12.92 : std::pow((rounded + 0.055) / 1.055, 2.4);
}

}  // namespace

float scanned_pixel(const Photographer& who, double density, double speck_share, Random& random) {
  double value = who.device(density);
  if (random.chance(speck_share)) value = random.chance(0.5) ? 0.9 : 0.002;
  value += random.normal(0.0, std::hypot(0.003 * std::sqrt(value), 0.0003));
  value = std::clamp(value, 0.0, 1.0);
  return static_cast<float>(who.eight_bit ? encoded8(value) : std::round(value * 65535.0) / 65535.0);
}

Scan scan_of(const cv::Mat& light, const Photographer& who) {
  Scan scan;
  scan.path = "simulated.tif";
  scan.width_px = light.cols;
  scan.height_px = light.rows;
  scan.bits = who.eight_bit ? 8 : 16;
  scan.image.luminance = light;
  scan.image.darkest = light;
  scan.image.lightest = light;
  return scan;
}

}  // namespace platewise::simulated
