#include "accuracy/lab.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace platewise::heldout {
namespace {

const cv::Matx33d kXyzOfRgb(0.4124, 0.3576, 0.1805, 0.2126, 0.7152, 0.0722, 0.0193, 0.1192, 0.9505);
const cv::Vec3d kWhite(0.9505, 1.0, 1.0890);
constexpr double kKnee = 6.0 / 29.0;

double bent(double t) {
  return t > kKnee * kKnee * kKnee ? std::cbrt(t) : t / (3.0 * kKnee * kKnee) + 4.0 / 29.0;
}

double straight(double f) {
  return f > kKnee ? f * f * f : 3.0 * kKnee * kKnee * (f - 4.0 / 29.0);
}

}  // namespace

cv::Vec3d lab_of(const cv::Vec3d& rgb) {
  const cv::Vec3d xyz = kXyzOfRgb * rgb;
  const double x = bent(xyz[0] / kWhite[0]);
  const double y = bent(xyz[1] / kWhite[1]);
  const double z = bent(xyz[2] / kWhite[2]);
  return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

cv::Vec3d rgb_of_lab(const cv::Vec3d& lab) {
  static const cv::Matx33d kRgbOfXyz = kXyzOfRgb.inv();
  const double y = (lab[0] + 16.0) / 116.0;
  const cv::Vec3d xyz(kWhite[0] * straight(y + lab[1] / 500.0), kWhite[1] * straight(y),
                      kWhite[2] * straight(y - lab[2] / 200.0));
  const cv::Vec3d rgb = kRgbOfXyz * xyz;
  constexpr double kLeast = 1e-5;
  return {std::max(rgb[0], kLeast), std::max(rgb[1], kLeast), std::max(rgb[2], kLeast)};
}

cv::Vec3d lab_step(double lightness, double hue_deg, double chroma) {
  const double turn = hue_deg * std::numbers::pi / 180.0;
  return {lightness, chroma * std::cos(turn), chroma * std::sin(turn)};
}

}  // namespace platewise::heldout
