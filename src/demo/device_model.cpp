#include "platewise/demo/device_model.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace platewise {
namespace {

constexpr double kGamma = 2.2;

// IEC 61966-2-1 (1999).
double srgb_code(double light) {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
}
double srgb_light(double code) {
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

}  // namespace

double profile_light(ToneCurve curve, double code) {
  switch (curve) {
    case ToneCurve::srgb:
      return srgb_light(code);
    case ToneCurve::gamma_22:
      return std::pow(std::max(0.0, code), kGamma);
    case ToneCurve::linear:
      return code;
  }
  return code;
}

double device_code(const DeviceModel& device, double light) {
  const double inside = std::clamp(light, 0.0, 1.0);
  double code = inside;
  if (device.curve == ToneCurve::srgb) code = srgb_code(inside);
  if (device.curve == ToneCurve::gamma_22) code = std::pow(inside, 1.0 / kGamma);
  constexpr double kTurn = 2.0 * std::numbers::pi;
  return code + device.curve_error * std::sin(kTurn * code) / kTurn;
}

double device_signal(const DeviceModel& device, double density) {
  const double light = device.flare + device.gain * std::pow(10.0, -device.contrast * density);
  return profile_light(device.curve, device_code(device, light));
}

}  // namespace platewise
