#include "platewise/density/to_density.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "density/even_scan.h"

namespace platewise {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

double middle_density(const PlateDensity& plate) {
  return plate.image.density.at<float>(plate.image.rows() / 2, plate.image.cols() / 2);
}

DensityOptions with_device(const DeviceCurve& device) {
  DensityOptions options;
  options.device = device;
  return options;
}

double density_of_even(double luminance, const DensityOptions& options) {
  const Scan scan = scan_of(64, 64, [&](double, double) { return luminance; });
  return middle_density(to_density(scan, frame_outline(scan, 12.0), options).value());
}

// density_table.csv: D = -log10(factor), ISO 5 (MEMORY of the standard; definition READ in Ives 1920 ch.
// XVIII).
struct FactorRow {
  double factor;
  double density;
};
class DensityTable : public ::testing::TestWithParam<FactorRow> {};
INSTANTIATE_TEST_SUITE_P(Iso5, DensityTable,
                         ::testing::Values(FactorRow{0.9, 0.0457574905607}, FactorRow{0.794328234724, 0.1},
                                           FactorRow{0.8, 0.0969100130081}, FactorRow{0.5, 0.301029995664},
                                           FactorRow{0.1, 1.0}, FactorRow{0.01, 2.0}));

TEST_P(DensityTable, AnExactScannerGivesTheTabulatedDensity) {
  EXPECT_NEAR(density_of_even(GetParam().factor, with_device(exact_device())), GetParam().density, 1e-4);
}

TEST_P(DensityTable, WithoutADeviceFileItLiesWithinTheStatedUncertainty) {
  const Scan scan = scan_of(64, 64, [](double, double) { return GetParam().factor; });
  const auto plate = to_density(scan, frame_outline(scan, 12.0), {}).value();
  EXPECT_NEAR(middle_density(plate), GetParam().density, 2.0 * u_at(plate.errors, GetParam().density));
  EXPECT_FALSE(plate.calibrated);
}

// chart24_neutrals.csv: printed densities (McCamy, Marcus, Davidson 1976, MEMORY) and L* (maker's data of
// 2008, READ) of the six greys; code values follow by CIE L* and sRGB encoding, as a picture of the chart
// would hold.
struct GreyPatch {
  double printed_density;
  double lightness;
};
class Chart24 : public ::testing::TestWithParam<GreyPatch> {};
INSTANTIATE_TEST_SUITE_P(Neutrals, Chart24,
                         ::testing::Values(GreyPatch{0.05, 96.54}, GreyPatch{0.23, 81.26},
                                           GreyPatch{0.44, 66.77}, GreyPatch{0.70, 50.87},
                                           GreyPatch{1.05, 35.66}, GreyPatch{1.50, 20.46}));

// CIE 15: Y from L*; IEC 61966-2-1: 8-bit code and back.
double luminance_through_srgb(double lightness) {
  const double y = std::pow((lightness + 16.0) / 116.0, 3.0);
  const double code = std::round(255.0 * (1.055 * std::pow(y, 1.0 / 2.4) - 0.055));
  return std::pow((code / 255.0 + 0.055) / 1.055, 2.4);
}

TEST_P(Chart24, GreyPatchesReadAsPrinted) {
  const double density =
      density_of_even(luminance_through_srgb(GetParam().lightness), with_device(exact_device()));
  EXPECT_NEAR(density, GetParam().printed_density, 0.02);  // the file's own tolerance
}

TEST(ToDensity, AveragesLightAndNotDensityWhenItShrinks) {
  const Scan scan = scan_of(96, 96, [](double x, double) { return static_cast<int>(x) % 2 ? 0.8 : 0.2; });
  DensityOptions options = with_device(exact_device());
  options.px_per_mm = 12.0;
  const auto plate = to_density(scan, frame_outline(scan, 24.0), options).value();
  EXPECT_NEAR(middle_density(plate), -std::log10(0.5), 1e-3);
}

TEST(ToDensity, IsNeverFinerThanTheScan) {
  const Scan scan = scan_of(120, 60, [](double, double) { return 0.5; });
  const auto plate = to_density(scan, frame_outline(scan, 6.0), {}).value();
  EXPECT_DOUBLE_EQ(plate.image.px_per_unit, 6.0);
  EXPECT_EQ(plate.image.cols(), 120);
}

TEST(ToDensity, WithoutAScaleTheLongSideHasAtMostSixteenHundredPixels) {
  const Scan scan = scan_of(2400, 300, [](double, double) { return 0.5; });
  PlateOutline outline = frame_outline(scan, 24.0);
  outline.scale.millimetres = false;
  outline.scale.width_units = 100.0;
  outline.scale.height_units = 12.5;
  EXPECT_EQ(to_density(scan, outline, {}).value().image.cols(), 1600);
}

TEST(ToDensity, SpecksSurviveTheShrinking) {
  const Scan scan = scan_of(96, 96, [](double x, double y) {
    return static_cast<int>(x) == 50 && static_cast<int>(y) == 30 ? 0.9 : 0.1;
  });
  const auto plate = to_density(scan, frame_outline(scan, 24.0), with_device(exact_device())).value();
  double least = 9.0;
  cv::minMaxLoc(plate.lowest, &least);
  EXPECT_NEAR(least, -std::log10(0.9), 1e-3);
}

TEST(ToDensity, TheBlankSheetTakesOutUnevenLight) {
  const auto light = [](double x, double) { return 0.6 + 0.4 * x / 200.0; };
  const Scan scan = scan_of(200, 120, [&](double x, double y) { return 0.1 * light(x, y); });
  DensityOptions options;
  options.flat = scan_of(200, 120, light);
  const auto plate = to_density(scan, frame_outline(scan, 12.0), options).value();
  const auto& density = plate.image.density;
  EXPECT_NEAR(density.at<float>(60, 30), density.at<float>(60, 170), 0.01);
}

TEST(ToDensity, ABlankSheetOfOtherProportionsIsRefusedInWords) {
  const Scan scan = scan_of(200, 120, [](double, double) { return 0.1; });
  DensityOptions options;
  options.flat = scan_of(120, 200, [](double, double) { return 0.9; });
  options.flat->path = "sheet.tif";
  const auto plate = to_density(scan, frame_outline(scan, 12.0), options);
  ASSERT_FALSE(plate);
  EXPECT_THAT(plate.error().message(), HasSubstr("sheet.tif: the blank sheet's frame"));
}

TEST(ToDensity, ADeviceFileOfTheOtherLightModeIsRefused) {
  DeviceCurve device = exact_device();
  device.light = Light::transmitted;
  const Scan scan = scan_of(64, 64, [](double, double) { return 0.1; });
  const auto plate = to_density(scan, frame_outline(scan, 12.0), with_device(device));
  ASSERT_FALSE(plate);
  EXPECT_THAT(plate.error().message(), HasSubstr("made by transmitted light"));
}

TEST(ToDensity, ADeviceFileThatFitsGivesNoWarning) {
  const Scan scan = scan_of(64, 64, [](double, double) { return 0.1; });
  EXPECT_THAT(to_density(scan, frame_outline(scan, 12.0), with_device(exact_device())).value().warnings,
              IsEmpty());
}

TEST(ToDensity, ADeviceFileFromOtherSettingsWarns) {
  DeviceCurve device = exact_device();
  device.bits = 8;
  device.colour_profile = "sRGB";
  device.flat_fielded = true;
  device.range_max = 0.5;
  device.resolution_dpi = 1200.0;
  Scan scan = scan_of(64, 64, [](double, double) { return 0.1; });
  scan.resolution_dpi = 600.0;
  const auto warnings = to_density(scan, frame_outline(scan, 12.0), with_device(device)).value().warnings;
  EXPECT_THAT(warnings, Contains(HasSubstr("8-bit")));
  EXPECT_THAT(warnings, Contains(HasSubstr("'sRGB'")));
  EXPECT_THAT(warnings, Contains(HasSubstr("1200 dpi, this scan has 600 dpi")));
  EXPECT_THAT(warnings, Contains(HasSubstr("blank sheet")));
  EXPECT_THAT(warnings, Contains(HasSubstr("outside the densities")));
}

TEST(ToDensity, OutsideTheScanThereIsNoDensity) {
  const Scan scan = scan_of(64, 64, [](double, double) { return 0.1; });
  PlateOutline outline = frame_outline(scan, 12.0);
  for (auto& corner : outline.corners_px) corner.x -= 20.0;
  const auto plate = to_density(scan, outline, {}).value();
  EXPECT_TRUE(std::isnan(plate.image.density.at<float>(32, 10)));
  EXPECT_FALSE(std::isnan(plate.image.density.at<float>(32, 40)));
}

TEST(ToDensity, AColourScanKeepsItsColoursUprightAndCoarser) {
  Scan scan = scan_of(240, 160, [](double, double) { return 0.5; });
  EXPECT_TRUE(to_density(scan, frame_outline(scan, 12.0), {}).value().colour.empty());
  scan.image.rgb = cv::Mat(160, 240, CV_32FC3, cv::Scalar(0.5, 0.5, 0.5));
  scan.image.rgb(cv::Rect(0, 0, 60, 40)).setTo(cv::Scalar(0.5, 0.4, 0.3));
  const ColourImage upright = to_density(scan, frame_outline(scan, 12.0), {}).value().colour;
  EXPECT_EQ(upright.rgb.size(), cv::Size(60, 40));
  EXPECT_DOUBLE_EQ(upright.px_per_unit, 3.0);
  EXPECT_NEAR(upright.rgb.at<cv::Vec3f>(4, 6)[2], 0.3F, 1e-5F);
  EXPECT_NEAR(upright.rgb.at<cv::Vec3f>(20, 40)[2], 0.5F, 1e-5F);
  // Turned by a half: the plate's top-left corner lies at the scan's bottom right.
  PlateOutline outline = frame_outline(scan, 12.0);
  std::rotate(outline.corners_px.begin(), outline.corners_px.begin() + 2, outline.corners_px.end());
  const ColourImage turned = to_density(scan, outline, {}).value().colour;
  EXPECT_NEAR(turned.rgb.at<cv::Vec3f>(35, 53)[2], 0.3F, 1e-5F);
  EXPECT_NEAR(turned.rgb.at<cv::Vec3f>(4, 6)[2], 0.5F, 1e-5F);
}

}  // namespace
}  // namespace platewise
