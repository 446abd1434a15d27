// Embedded ICC profiles. The colour library is called in this file only.
#include <lcms2.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "colour.h"

namespace platewise {
namespace {

struct CloseProfile {
  void operator()(void* profile) const { cmsCloseProfile(profile); }
};
struct DeleteTransform {
  void operator()(void* transform) const { cmsDeleteTransform(transform); }
};
using Profile = std::unique_ptr<void, CloseProfile>;
using Transform = std::unique_ptr<void, DeleteTransform>;

// Columns of linear sRGB in the profile connection space (D50), as stored in public-domain profiles of
// 2022 (IEC 61966-2-1 primaries, Bradford-adapted).
const cv::Matx33d kXyzD50FromLinearSrgb(0.43603515625, 0.3851165771484375, 0.1430511474609375,  //
                                        0.2224884033203125, 0.7169036865234375, 0.06060791015625,
                                        0.013916015625, 0.0970611572265625, 0.71392822265625);

cv::Matx33d linear_srgb_from_xyz() {
  return kXyzD50FromLinearSrgb.inv();
}

std::string description_of(const Profile& profile) {
  std::array<char, 128> text{};
  cmsGetProfileInfoASCII(profile.get(), cmsInfoDescription, "en", "US", text.data(), text.size() - 1);
  std::string description(text.data());
  std::erase_if(description, [](char c) { return c < 0x20 || c >= 0x7f; });
  return description.empty() ? "embedded profile without a name" : description;
}

// A tone curve that a scanner can have: finite, rising (but for rounding), from dark to about full scale.
bool makes_sense(const std::vector<float>& curve) {
  constexpr float kRounding = 1e-3F;
  constexpr float kDarkest = 0.2F;
  constexpr float kBrightestLeast = 0.5F;
  constexpr float kBrightestMost = 1.1F;
  float highest = -kRounding;
  for (const float value : curve) {
    if (!std::isfinite(value) || value < highest - kRounding) return false;
    highest = std::max(highest, value);
  }
  return curve.front() < kDarkest && curve.back() > kBrightestLeast && curve.back() < kBrightestMost;
}

Transform transform_to_xyz(const Profile& profile, cmsUInt32Number input_type) {
  const Profile xyz(cmsCreateXYZProfile());
  return Transform(cmsCreateTransform(profile.get(), input_type, xyz.get(), TYPE_XYZ_FLT,
                                      INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOOPTIMIZE | cmsFLAGS_NOCACHE));
}

std::vector<float> code_values(const CodeSpace& codes) {
  std::vector<float> values(static_cast<std::size_t>(codes.count));
  for (std::size_t code = 0; code < values.size(); ++code) {
    values[code] = static_cast<float>(std::min(static_cast<double>(code) / codes.greatest, 1.0));
  }
  return values;
}

// Grey profiles are one curve whatever they are made of: Y of each code.
std::optional<ColourConversion> grey_conversion(const Profile& profile, const CodeSpace& codes) {
  const Transform to_xyz = transform_to_xyz(profile, TYPE_GRAY_FLT);
  if (!to_xyz) return std::nullopt;
  const std::vector<float> values = code_values(codes);
  std::vector<float> xyz(values.size() * 3);
  cmsDoTransform(to_xyz.get(), values.data(), xyz.data(), static_cast<cmsUInt32Number>(values.size()));
  std::vector<float> curve(values.size());
  for (std::size_t code = 0; code < curve.size(); ++code) curve[code] = xyz[3 * code + 1];
  if (!makes_sense(curve)) return std::nullopt;
  ColourConversion conversion;
  conversion.curves.push_back(std::move(curve));
  return conversion;
}

std::optional<cv::Matx33d> matrix_of(const Profile& profile) {
  cv::Matx33d xyz_from_channels;
  constexpr cmsTagSignature kColumns[] = {cmsSigRedColorantTag, cmsSigGreenColorantTag,
                                          cmsSigBlueColorantTag};
  for (int column = 0; column < 3; ++column) {
    const auto* xyz = static_cast<const cmsCIEXYZ*>(cmsReadTag(profile.get(), kColumns[column]));
    if (xyz == nullptr) return std::nullopt;
    xyz_from_channels(0, column) = xyz->X;
    xyz_from_channels(1, column) = xyz->Y;
    xyz_from_channels(2, column) = xyz->Z;
  }
  // Full scale of all channels is the media white, Y = 1; profiles round it.
  const double white = xyz_from_channels(1, 0) + xyz_from_channels(1, 1) + xyz_from_channels(1, 2);
  constexpr double kRoundingAtMost = 0.1;
  if (!std::isfinite(white) || std::abs(white - 1.0) > kRoundingAtMost) return std::nullopt;
  return linear_srgb_from_xyz() * xyz_from_channels * (1.0 / white);
}

std::optional<ColourConversion> matrix_conversion(const Profile& profile, const CodeSpace& codes) {
  const std::optional<cv::Matx33d> matrix = matrix_of(profile);
  if (!matrix) return std::nullopt;
  ColourConversion conversion;
  conversion.linear_srgb_from_channels = *matrix;
  for (const cmsTagSignature tag : {cmsSigRedTRCTag, cmsSigGreenTRCTag, cmsSigBlueTRCTag}) {
    const auto* tone_curve = static_cast<const cmsToneCurve*>(cmsReadTag(profile.get(), tag));
    if (tone_curve == nullptr) return std::nullopt;
    std::vector<float> curve = code_values(codes);
    for (float& value : curve) value = cmsEvalToneCurveFloat(tone_curve, value);
    if (!makes_sense(curve)) return std::nullopt;
    conversion.curves.push_back(std::move(curve));
  }
  return conversion;
}

class TableTransform : public PixelTransform {
 public:
  explicit TableTransform(Transform to_xyz)
      : to_xyz_(std::move(to_xyz)), linear_srgb_from_xyz_(linear_srgb_from_xyz()) {}

  void to_linear_srgb(const void* codes, int pixels, float* red_green_blue) const override {
    cmsDoTransform(to_xyz_.get(), codes, red_green_blue, static_cast<cmsUInt32Number>(pixels));
    for (int i = 0; i < pixels; ++i) {
      float* pixel = red_green_blue + 3 * static_cast<std::ptrdiff_t>(i);
      const cv::Vec3f rgb = linear_srgb_from_xyz_ * cv::Vec3f(pixel[0], pixel[1], pixel[2]);
      std::copy(rgb.val, rgb.val + 3, pixel);
    }
  }

 private:
  Transform to_xyz_;
  cv::Matx33f linear_srgb_from_xyz_;
};

std::optional<ColourConversion> table_conversion(const Profile& profile, const CodeSpace& codes,
                                                 int extra_channels) {
  const int bytes = codes.sixteen_bit ? 2 : 1;
  const auto input_type = static_cast<cmsUInt32Number>(COLORSPACE_SH(PT_RGB) | EXTRA_SH(extra_channels) |
                                                       CHANNELS_SH(3) | BYTES_SH(bytes));
  Transform to_xyz = transform_to_xyz(profile, input_type);
  if (!to_xyz) return std::nullopt;
  ColourConversion conversion;
  conversion.pixels = std::make_shared<TableTransform>(std::move(to_xyz));
  return conversion;
}

// A profile may hold both tables and a matrix; ICC.1 gives the tables precedence.
std::optional<ColourConversion> colour_conversion(const Profile& profile, const CodeSpace& codes,
                                                  int extra_channels) {
  const bool has_tables =
      cmsIsTag(profile.get(), cmsSigAToB0Tag) != 0 || cmsIsTag(profile.get(), cmsSigAToB1Tag) != 0;
  if (has_tables) return table_conversion(profile, codes, extra_channels);
  return matrix_conversion(profile, codes);
}

}  // namespace

std::optional<ColourConversion> conversion_by_profile(const std::string& icc_bytes, const CodeSpace& codes,
                                                      int extra_channels) {
  const Profile profile(
      cmsOpenProfileFromMem(icc_bytes.data(), static_cast<cmsUInt32Number>(icc_bytes.size())));
  if (!profile || codes.count == 0) return std::nullopt;
  const cmsColorSpaceSignature wanted = codes.channels == 1 ? cmsSigGrayData : cmsSigRgbData;
  if (cmsGetColorSpace(profile.get()) != wanted) return std::nullopt;
  auto conversion = codes.channels == 1 ? grey_conversion(profile, codes)
                                        : colour_conversion(profile, codes, extra_channels);
  if (conversion) conversion->description = description_of(profile);
  return conversion;
}

}  // namespace platewise
