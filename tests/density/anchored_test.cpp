#include <gtest/gtest.h>

#include <cmath>

#include "density/even_scan.h"
#include "platewise/density/to_density.h"

namespace platewise {
namespace {

// A plate of 0.05 signal with a corner of bare support (left quarter) of `bare_signal`.
struct Drawn {
  Scan scan;
  PlateOutline outline;
  Regions regions;
};
Drawn drawn(double bare_signal) {
  Drawn plate;
  plate.scan = scan_of(200, 120, [&](double x, double) { return x < 50 ? bare_signal : 0.3; });
  plate.outline = frame_outline(plate.scan, 12.0);
  plate.regions.bare.inside = cv::Mat::zeros(120, 200, CV_8UC1);
  plate.regions.bare.inside(cv::Rect(0, 0, 50, 120)) = 255;
  return plate;
}

PlateDensity anchored_plate(const Drawn& plate, const DensityOptions& options) {
  return anchored(to_density(plate.scan, plate.outline, options).value(), plate.scan, plate.outline,
                  plate.regions, options);
}

double bare_density(const PlateDensity& plate) {
  return plate.image.density.at<float>(60, 25);
}

TEST(Anchored, BareTintypeSupportIsPulledTowardsItsUsualDensity) {
  const Drawn dark = drawn(0.02);
  const PlateDensity before = to_density(dark.scan, dark.outline, {}).value();
  const PlateDensity after = anchored_plate(dark, {});
  EXPECT_LT(std::abs(bare_density(after) - 1.35), std::abs(bare_density(before) - 1.35));
  EXPECT_LT(after.offset.u, before.offset.u);
  EXPECT_LT(u_at(after.errors, 1.35), 0.15);
}

TEST(Anchored, KeepsDifferencesAsTheyAre) {
  const Drawn dark = drawn(0.02);
  const PlateDensity before = to_density(dark.scan, dark.outline, {}).value();
  const PlateDensity after = anchored_plate(dark, {});
  const auto difference = [](const PlateDensity& plate) {
    return bare_density(plate) - plate.image.density.at<float>(60, 150);
  };
  EXPECT_NEAR(difference(after), difference(before), 1e-5);
}

TEST(Anchored, AWhiteSurroundSetsTheLightEnd) {
  Drawn plate = drawn(0.04);
  plate.regions.bare = {};
  plate.outline.surround_is_white = true;
  plate.outline.surround_luminance = Quantity{0.45, 0.01};
  const PlateDensity after = anchored_plate(plate, {});
  // Paper of D 0.07 at 0.45 of full scale: the prior 0 +- 0.25 gives way to 0.07 +- 0.06.
  EXPECT_NEAR(after.offset.value, 0.07 + std::log10(0.45), 0.03);
  EXPECT_LT(after.offset.u, 0.07);
}

TEST(Anchored, TheBlankSheetGoesBeforeTheSurround) {
  Drawn plate = drawn(0.04);
  plate.regions.bare = {};
  plate.outline.surround_is_white = true;
  plate.outline.surround_luminance = Quantity{0.9, 0.01};
  DensityOptions options;
  options.flat = scan_of(200, 120, [](double, double) { return 0.45; });
  EXPECT_NEAR(anchored_plate(plate, options).offset.value, 0.07 + std::log10(0.45), 0.03);
}

TEST(Anchored, NeverTouchesACalibratedPlate) {
  const Drawn plate = drawn(0.02);
  DensityOptions options;
  options.device = exact_device();
  const PlateDensity after = anchored_plate(plate, options);
  EXPECT_EQ(after.offset.value, 0.0);
  EXPECT_NEAR(bare_density(after), -std::log10(0.02), 1e-3);
}

TEST(Anchored, WithoutAnythingKnownThePriorStands) {
  Drawn plate = drawn(0.02);
  plate.regions.bare = {};
  const PlateDensity after = anchored_plate(plate, {});
  EXPECT_EQ(after.offset, (Quantity{0.0, 0.25}));
}

TEST(Anchored, DefaultSupportsAreTheStatedOnes) {
  EXPECT_EQ(default_support_density(PlateKind::tintype, Light::reflected, Backing::black),
            (Quantity{1.35, 0.15}));
  EXPECT_EQ(default_support_density(PlateKind::ambrotype, Light::reflected, Backing::black),
            (Quantity{1.35, 0.20}));
  EXPECT_EQ(default_support_density(PlateKind::ambrotype, Light::reflected, Backing::none),
            (Quantity{0.04, 0.02}));
  EXPECT_EQ(default_support_density(PlateKind::negative, Light::transmitted, Backing::none),
            (Quantity{0.04, 0.02}));
}

}  // namespace
}  // namespace platewise
