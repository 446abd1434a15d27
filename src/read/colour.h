#pragma once

#include <memory>
#include <opencv2/core/matx.hpp>
#include <string>
#include <vector>

#include "platewise/core/warnings.h"
#include "platewise/read/read_scan.h"

namespace platewise {

// What the code values of a picture can be. Real-valued samples have no codes.
struct CodeSpace {
  int channels = 1;       // 1 grey, 3 colour
  int count = 256;        // 256 or 65536 codes; 0 for real values, taken as linear
  double greatest = 255;  // the code of full scale
  bool sixteen_bit = false;
};

// Turns a row of interleaved codes into linear sRGB triples: for profiles that are tables, not curves.
class PixelTransform {
 public:
  virtual ~PixelTransform() = default;
  virtual void to_linear_srgb(const void* codes, int pixels, float* red_green_blue) const = 0;
};

// From code values to linear light, full scale = 1: a curve per channel, then a matrix to linear sRGB.
//   luminance = 0.2126 R + 0.7152 G + 0.0722 B of linear sRGB (IEC 61966-2-1), CIE Y with the profile's
//   white at 1.
struct ColourConversion {
  std::vector<std::vector<float>> curves;  // one a channel, one value a code; empty for real values
  cv::Matx33d linear_srgb_from_channels = cv::Matx33d::eye();
  std::shared_ptr<const PixelTransform> pixels;  // takes the place of curves and matrix when set
  std::string description;
  Warnings warnings;

  [[nodiscard]] cv::Vec3d luminance_weights() const;  // of the channels after their curves
};

// sRGB code value 0..1 to linear light (IEC 61966-2-1).
[[nodiscard]] double srgb_to_linear(double value);

// The conversion that an embedded profile asks for; empty when the profile is damaged, of another colour
// space than the picture, or makes no sense as a tone curve. `extra_channels` follow each pixel's colour.
[[nodiscard]] std::optional<ColourConversion> conversion_by_profile(const std::string& icc_bytes,
                                                                    const CodeSpace& codes,
                                                                    int extra_channels);

// Without a (usable) profile.
[[nodiscard]] ColourConversion assumed_conversion(const CodeSpace& codes, UnprofiledSixteenBit sixteen_bit);

// Undoes a scan that was turned into a positive: code -> greatest - code, before the curve.
[[nodiscard]] ColourConversion inverted(ColourConversion conversion, const CodeSpace& codes);

}  // namespace platewise
