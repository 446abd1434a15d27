// Code values to linear light, against published tables.
#include <gmock/gmock.h>

#include <cmath>

#include "profiles.h"
#include "published/published.h"
#include "test_pictures.h"

namespace platewise {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

// Pictures hold single precision; profiles hold 16.16 fixed point, which moves the least codes most.
constexpr double kSinglePrecision = 2e-7;
constexpr double kFixedPoint = 3e-4;  // relative

class Colours : public ReadTest {};

cv::Mat all_codes(int type) {
  cv::Mat picture(1, 256, type);
  for (int code = 0; code < 256; ++code) {
    if (type == CV_8UC1) {
      picture.at<unsigned char>(0, code) = static_cast<unsigned char>(code);
    } else {
      picture.at<cv::Vec3b>(0, code) = cv::Vec3b::all(static_cast<unsigned char>(code));
    }
  }
  return picture;
}

// IEC 61966-2-1, all 256 codes (tests/published/srgb_codes_256.csv).
TEST_F(Colours, UnprofiledEightBitIsSrgb) {
  for (const int type : {CV_8UC1, CV_8UC3}) {
    const Scan scan = written_and_read(all_codes(type), {});
    for (const auto& row : published::csv("srgb_codes_256.csv")) {
      EXPECT_NEAR(scan.image.luminance.at<float>(0, std::stoi(row[0])), std::stod(row[1]), kSinglePrecision);
    }
    EXPECT_THAT(scan.warnings, Contains(HasSubstr("taken as sRGB")));
  }
}

TEST_F(Colours, AnSrgbProfileGivesTheSameWithoutAWarning) {
  PictureFormat format;
  format.profile = EmbeddedProfile::srgb;
  const Scan scan = written_and_read(uneven_picture(30, 40, CV_8UC3), format);
  const Scan assumed = written_and_read(uneven_picture(30, 40, CV_8UC3), {});
  EXPECT_LT(largest_difference(scan.image.luminance, assumed.image.luminance), 1e-4);
  EXPECT_LT(largest_difference(scan.image.rgb, assumed.image.rgb), 1e-4);
  EXPECT_TRUE(scan.warnings.empty());
  EXPECT_THAT(scan.colour_profile, HasSubstr("sRGB"));
}

// IEC 61966-2-1 luminance weights (tests/published/colour_checks.json).
TEST_F(Colours, LuminanceWeighsThePrimariesAsPublished) {
  const auto weights = published::json("colour_checks.json").at("luminance_weights");
  cv::Mat primaries(1, 3, CV_8UC3, cv::Scalar::all(0));
  for (int i = 0; i < 3; ++i) primaries.at<cv::Vec3b>(0, i)[i] = 255;
  const Scan scan = written_and_read(primaries, {});
  const double expected[] = {weights.at("r"), weights.at("g"), weights.at("b")};
  for (int i = 0; i < 3; ++i) {
    EXPECT_NEAR(scan.image.luminance.at<float>(0, i), expected[i], kSinglePrecision);
  }
}

TEST_F(Colours, GreyGamma22IsAPower) {
  PictureFormat format;
  format.profile = EmbeddedProfile::grey_gamma_22;
  const Scan scan = written_and_read(all_codes(CV_8UC1), format);
  constexpr double kStoredExponent = 563.0 / 256.0;  // ICC.1: version 2 keeps the exponent in 8.8 bits
  for (int code = 8; code < 256; ++code) {
    const double expected = std::pow(code / 255.0, kStoredExponent);
    EXPECT_NEAR(scan.image.luminance.at<float>(0, code) / expected, 1.0, kFixedPoint) << code;
  }
  EXPECT_FLOAT_EQ(scan.image.luminance.at<float>(0, 255), 1.0F);
}

// ---- wide gamuts (tests/published/colour_spaces.json names the standards) ----

cmsToneCurve* curve_of(const std::string& id) {
  constexpr int kPower = 1, kPowerWithLinearStart = 4;
  if (id == "oprgb") {
    const double gamma[] = {563.0 / 256.0};
    return cmsBuildParametricToneCurve(nullptr, kPower, gamma);
  }
  const double romm[] = {1.8, 1.0, 0.0, 1.0 / 16.0, 16.0 / 512.0};
  const double srgb[] = {2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045};
  return cmsBuildParametricToneCurve(nullptr, kPowerWithLinearStart, id == "romm" ? romm : srgb);
}

PictureFormat with_profile_of(const nlohmann::json& space) {
  cmsToneCurve* curve = curve_of(space.at("id"));
  PictureFormat format;
  format.icc_profile = matrix_profile(
      {space.at("R").get<Column>(), space.at("G").get<Column>(), space.at("B").get<Column>()}, curve);
  cmsFreeToneCurve(curve);
  return format;
}

TEST_F(Colours, NeutralsOfWideGamutsHaveThePublishedLight) {
  const auto figures = published::json("colour_spaces.json");
  const std::pair<const char*, int> kColumns[] = {{"srgb", 1}, {"p3_d65", 1}, {"oprgb", 3}, {"romm", 5}};
  for (const auto& [id, column] : kColumns) {
    for (const auto& space : figures.at("spaces")) {
      if (space.at("id") != id) continue;
      const Scan scan = written_and_read(all_codes(CV_8UC3), with_profile_of(space));
      for (const auto& row : figures.at("neutral_checks").at("rows")) {
        const double expected = row.at(static_cast<std::size_t>(column));
        const double light = scan.image.luminance.at<float>(0, row.at(0).get<int>());
        EXPECT_NEAR(light / expected, 1.0, kFixedPoint) << id << " code " << row.at(0);
      }
    }
  }
}

TEST_F(Colours, PrimariesOfWideGamutsHaveThePublishedColour) {
  const auto figures = published::json("colour_spaces.json");
  cv::Mat primaries(1, 3, CV_8UC3, cv::Scalar::all(0));
  for (int i = 0; i < 3; ++i) primaries.at<cv::Vec3b>(0, i)[i] = 255;
  const auto srgb = figures.at("spaces").at(0);
  for (const auto& space : figures.at("spaces")) {
    const Scan scan = written_and_read(primaries, with_profile_of(space));
    const char* channels[] = {"R", "G", "B"};
    for (int i = 0; i < 3; ++i) {
      const cv::Vec3f rgb = scan.image.rgb.at<cv::Vec3f>(0, i);
      for (std::size_t axis = 0; axis < 3; ++axis) {
        double xyz = 0.0;
        for (int c = 0; c < 3; ++c) xyz += rgb[c] * srgb.at(channels[c]).at(axis).get<double>();
        // The columns of a profile sum to white within 1e-4 and are scaled to it.
        EXPECT_NEAR(xyz, space.at(channels[i]).at(axis).get<double>(), 2e-4) << space.at("id");
      }
    }
  }
}

TEST_F(Colours, AProfileMadeOfATableAgreesWithCurvesAndMatrix) {
  PictureFormat table, matrix;
  table.icc_profile = table_profile();
  matrix.profile = EmbeddedProfile::srgb;
  for (const int type : {CV_8UC3, CV_16UC3}) {
    const cv::Mat pixels = uneven_picture(20, 30, type);
    const Scan a = written_and_read(pixels, table);
    const Scan b = written_and_read(pixels, matrix);
    EXPECT_TRUE(a.warnings.empty()) << "the profile was not used";
    constexpr double kTableSteps = 0.005;  // between 33 grid points
    EXPECT_LT(largest_difference(a.image.luminance, b.image.luminance), kTableSteps);
    ReadOptions options;
    options.inverted = true;
    const Scan c = written_and_read(pixels, table, options);
    const Scan d = written_and_read(pixels, matrix, options);
    EXPECT_LT(largest_difference(c.image.luminance, d.image.luminance), kTableSteps);
  }
}

// ---- what is assumed ----

TEST_F(Colours, UnprofiledSixteenBitIsLinearOrGammaAsToldAndSaidSo) {
  cv::Mat half(4, 4, CV_16UC1, cv::Scalar(32768));
  const Scan linear = written_and_read(half, {});
  EXPECT_NEAR(linear.image.luminance.at<float>(0, 0), 32768.0 / 65535.0, kSinglePrecision);
  EXPECT_THAT(linear.warnings, Contains(HasSubstr("linear light")));
  ReadOptions options;
  options.unprofiled_16_bit = UnprofiledSixteenBit::gamma;
  const Scan gamma = written_and_read(half, {}, options);
  EXPECT_NEAR(gamma.image.luminance.at<float>(0, 0), 0.214, 1e-3);  // sRGB at 0.5
  EXPECT_THAT(gamma.warnings, Contains(HasSubstr("sRGB")));
}

TEST_F(Colours, UnusableProfilesAreIgnoredAndSaidSo) {
  cmsToneCurve* falling = cmsBuildGamma(nullptr, 1.0);
  const std::string nonsense[] = {
      "not a profile", icc_profile_bytes(EmbeddedProfile::grey_gamma_22),
      icc_profile_bytes(EmbeddedProfile::srgb).substr(0, 200),
      matrix_profile({Column{9, 9, 9}, Column{9, 9, 9}, Column{9, 9, 9}}, falling)};
  cmsFreeToneCurve(falling);
  const cv::Mat pixels = uneven_picture(8, 8, CV_8UC3);
  const Scan plain = written_and_read(pixels, {});
  for (const std::string& icc : nonsense) {
    PictureFormat format;
    format.icc_profile = icc;
    const Scan scan = written_and_read(pixels, format);
    EXPECT_EQ(largest_difference(scan.image.luminance, plain.image.luminance), 0.0);
    EXPECT_THAT(scan.warnings, Contains(HasSubstr("ignored")));
  }
}

TEST_F(Colours, InvertingTwiceIsNothing) {
  for (const int type : {CV_8UC1, CV_8UC3, CV_16UC1}) {
    const cv::Mat pixels = uneven_picture(12, 9, type);
    cv::Mat negative;
    cv::subtract(cv::Scalar::all(pixels.depth() == CV_16U ? 65535 : 255), pixels, negative);
    ReadOptions options;
    options.inverted = true;
    const Scan scan = written_and_read(negative, {}, options);
    EXPECT_EQ(largest_difference(scan.image.luminance, written_and_read(pixels, {}).image.luminance), 0.0);
  }
}

}  // namespace
}  // namespace platewise
