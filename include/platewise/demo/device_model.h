#pragma once

#include "platewise/core/names.h"

namespace platewise {

// The scanner or camera of the synthetic world, from density to code value:
//   light  = flare + gain 10^(-contrast D)        plus local_flare x the mean light within 10 mm
//   code   = bent(encode(light)), bent(c) = c + curve_error sin(2 pi c) / (2 pi)
// encode is the tone curve the file's profile promises; curve_error is how far the device is from it.
enum class ToneCurve { srgb, gamma_22, linear };
template <>
struct Names<ToneCurve> {
  static constexpr std::string_view all[] = {"srgb", "gamma_22", "linear"};
};

struct DeviceModel {
  double gain = 0.9;           // light of density 0, full scale 1
  double contrast = 1.0;       // a scanner's directed light sees silver denser than ISO 5 does
  double flare = 0.002;        // share of full scale that falls everywhere
  double local_flare = 0.002;  // share of the light around that is scattered in
  double curve_error = 0.0;
  double blur_px = 0.6;        // sigma of the optics
  double noise = 0.0012;       // sigma of light at full scale, falling with its square root
  double dark_noise = 0.0004;  // sigma of light in the dark
  int bits = 8;
  bool colour = true;            // RGB, warm as silver on collodion is; else grey
  double warmth = 1.0;           // 0 neutral, 1 cream
  double off_register_px = 0.0;  // red and blue stand off green by up to this along either side
  ToneCurve curve = ToneCurve::srgb;
};

// Linear light (full scale 1) that a reader of the file finds for an even area of this density in even
// surroundings without light of their own: the device's true signal(density).
[[nodiscard]] double device_signal(const DeviceModel& device, double density);

// Code value 0..1 of linear light as the device writes it, and linear light as the profile decodes a code.
[[nodiscard]] double device_code(const DeviceModel& device, double light);
[[nodiscard]] double profile_light(ToneCurve curve, double code);

}  // namespace platewise
