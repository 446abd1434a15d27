#include "colour.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

std::vector<float> sampled(double (*curve)(double), const CodeSpace& codes) {
  std::vector<float> values(static_cast<std::size_t>(codes.count));
  for (std::size_t code = 0; code < values.size(); ++code) {
    values[code] = static_cast<float>(curve(std::min(static_cast<double>(code) / codes.greatest, 1.0)));
  }
  return values;
}

double as_it_is(double value) {
  return value;
}

}  // namespace

double srgb_to_linear(double value) {
  return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

cv::Vec3d ColourConversion::luminance_weights() const {
  const cv::Matx13d weights = cv::Matx13d(0.2126, 0.7152, 0.0722) * linear_srgb_from_channels;
  return {weights(0), weights(1), weights(2)};
}

ColourConversion assumed_conversion(const CodeSpace& codes, UnprofiledSixteenBit sixteen_bit) {
  ColourConversion conversion;
  if (codes.count == 0) {
    conversion.description = "linear (assumed)";
    conversion.warnings.emplace_back(
        "The file holds real numbers: 0 to 1 was taken as linear light, full scale 1.");
    return conversion;
  }
  const bool linear = codes.sixteen_bit && sixteen_bit == UnprofiledSixteenBit::linear;
  const auto channels = static_cast<std::size_t>(codes.channels);
  conversion.curves.assign(channels, sampled(linear ? as_it_is : srgb_to_linear, codes));
  conversion.description = linear ? "linear (assumed)" : "sRGB (assumed)";
  if (linear) {
    conversion.warnings.emplace_back(
        "The file carries 16-bit values without a usable colour profile: they were taken as linear light. If "
        "the scanner wrote them for viewing, say so with --sixteen-bit gamma.");
  } else {
    conversion.warnings.emplace_back(
        "The file carries no usable colour profile: its values were taken as sRGB. Densities are off if the "
        "scanner used another tone curve.");
  }
  return conversion;
}

ColourConversion inverted(ColourConversion conversion, const CodeSpace& codes) {
  for (std::vector<float>& curve : conversion.curves) {
    const std::vector<float> upright = curve;
    const auto greatest = static_cast<std::size_t>(codes.greatest);
    for (std::size_t code = 0; code < curve.size(); ++code) {
      curve[code] = upright[greatest - std::min(code, greatest)];
    }
  }
  return conversion;
}

}  // namespace platewise
