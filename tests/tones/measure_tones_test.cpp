#include "platewise/tones/measure_tones.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numeric>

#include "tones/drawn_plate.h"

namespace platewise {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

TEST(Tones, ReadsSupportMarginAndFog) {
  const Tones tones = DrawnPlate{}.draw().tones();
  EXPECT_TRUE(tones.support_seen);
  EXPECT_NEAR(tones.support_density->value, 1.35, 0.003);
  EXPECT_NEAR(tones.margin_density->value, 1.32, 0.003);
  EXPECT_NEAR(tones.margin_fog->value, 0.03, 0.004);
  // Half a millimetre inside its border the picture runs from 1.18 to 0.52: floor and highlight are 1 % and
  // 98 %.
  EXPECT_NEAR(tones.floor_density->value, 1.18 - 0.01 * 0.66, 0.005);
  EXPECT_NEAR(tones.highlight_density->value, 1.18 - 0.98 * 0.66, 0.005);
  EXPECT_NEAR(tones.midtone_density->value, 1.18 - 0.50 * 0.66, 0.005);
  EXPECT_NEAR(tones.range->value, 0.97 * 0.66, 0.01);
  EXPECT_NEAR(tones.fog->value, 1.35 - 1.173, 0.006);
  EXPECT_NEAR(tones.floor_over_margin->value, 1.32 - 1.173, 0.006);
}

TEST(Tones, OfANegativeDarkenWithLight) {
  DrawnPlate plate;
  plate.support = 0.04;
  plate.margin = 0.07;
  plate.picture = [](double x_mm, double) { return 0.15 + 0.04 * x_mm; };
  const Tones tones =
      plate.draw().tones({.kind = PlateKind::negative, .default_support = {0.04, 0.02}, .faults = {}});
  EXPECT_NEAR(tones.margin_fog->value, 0.03, 0.004);
  EXPECT_NEAR(tones.floor_density->value, 0.27 + 0.01 * 1.36, 0.02);
  EXPECT_NEAR(tones.highlight_density->value, 0.27 + 0.98 * 1.36, 0.02);
  EXPECT_NEAR(tones.fog->value, tones.floor_density->value - 0.04, 0.004);
  EXPECT_GT(tones.floor_over_margin->value, 0.15);
  EXPECT_GT(tones.range->value, 1.2);
}

TEST(Tones, DifferencesFollowFromTheDensities) {
  const Tones tones = DrawnPlate{}.draw().tones();
  EXPECT_NEAR(tones.range->value, tones.floor_density->value - tones.highlight_density->value, 1e-9);
  EXPECT_NEAR(tones.fog->value, tones.support_density->value - tones.floor_density->value, 1e-9);
  EXPECT_NEAR(tones.floor_over_margin->value, tones.margin_density->value - tones.floor_density->value, 1e-9);
}

TEST(Tones, ACommonOffsetLeavesDifferencesAndTheirUncertaintyAlone) {
  DrawnPlate plate;
  plate.draw();
  plate.density.errors.covariance(0, 0) = 0.25 * 0.25;
  const Tones tones = plate.tones();
  EXPECT_GT(tones.floor_density->u, 0.25);
  EXPECT_LT(tones.range->u, 0.02);
  EXPECT_LT(tones.floor_over_margin->u, 0.02);
}

TEST(Tones, WithoutBareSupportFogIsNullAndSaidSo) {
  DrawnPlate plate;
  plate.draw();
  plate.regions.bare = {};
  const Tones tones = plate.tones();
  EXPECT_FALSE(tones.support_seen);
  EXPECT_EQ(*tones.support_density, (Quantity{1.35, 0.15}));
  EXPECT_FALSE(tones.fog);
  EXPECT_FALSE(tones.margin_fog);
  EXPECT_TRUE(tones.floor_over_margin);
  EXPECT_THAT(tones.warnings, Contains(HasSubstr("no bare support is seen")));
}

TEST(Tones, WithADeviceFileFogIsTakenAgainstTheDefaultSupport) {
  DrawnPlate plate;
  plate.draw();
  plate.regions.bare = {};
  plate.density.calibrated = true;
  const Tones tones = plate.tones();
  ASSERT_TRUE(tones.fog);
  EXPECT_NEAR(tones.fog->value, 1.35 - tones.floor_density->value, 1e-9);
  EXPECT_GT(tones.fog->u, 0.15);
}

TEST(Tones, WithoutARimTheMarginIsNullAndSaidSo) {
  DrawnPlate plate;
  plate.draw();
  plate.regions.rim = {};
  const Tones tones = plate.tones();
  EXPECT_FALSE(tones.margin_density);
  EXPECT_FALSE(tones.margin_fog);
  EXPECT_FALSE(tones.floor_over_margin);
  EXPECT_TRUE(tones.fog);
  EXPECT_THAT(tones.warnings, Contains(HasSubstr("no rim")));
}

TEST(Tones, WithoutAPictureItsTonesAreNullAndSaidSo) {
  DrawnPlate plate;
  plate.draw();
  plate.regions.picture.inside.setTo(0);
  const Tones tones = plate.tones();
  EXPECT_FALSE(tones.floor_density);
  EXPECT_FALSE(tones.range);
  EXPECT_FALSE(tones.empty_shadow_fraction);
  EXPECT_TRUE(tones.support_density);
  EXPECT_THAT(tones.warnings, Contains(HasSubstr("too little of the exposed picture")));
  EXPECT_FALSE(measure_tones(plate.density, Regions{}, {}).floor_density);
}

TEST(Tones, ALeakAtOneSideOfTheRimWidensTheMargin) {
  DrawnPlate plate;
  const double even_u = plate.draw().tones().margin_density->u;
  plate.density.image.density(cv::Rect(0, 0, 480, 36)) -= 0.15;  // the top side is veiled
  const Tones tones = plate.tones();
  EXPECT_NEAR(tones.margin_density->value, 1.32, 0.02);
  EXPECT_GT(tones.margin_density->u, 3.0 * even_u);
}

TEST(Tones, SmallNegativeFogIsKept) {
  DrawnPlate plate;
  plate.support = 1.15;
  const Tones tones = plate.draw().tones();
  EXPECT_LT(tones.fog->value, 0.0);
}

TEST(Tones, HistogramSharesAddUpOverBinsOfTwoHundredths) {
  const Tones tones = DrawnPlate{}.draw().tones();
  const auto& histogram = tones.histogram;
  ASSERT_EQ(histogram.edges.size(), histogram.share.size() + 1);
  EXPECT_NEAR(std::accumulate(histogram.share.begin(), histogram.share.end(), 0.0), 1.0, 1e-9);
  for (std::size_t i = 1; i < histogram.edges.size(); ++i) {
    EXPECT_NEAR(histogram.edges[i] - histogram.edges[i - 1], 0.02, 1e-12);
  }
  // The ramp is even: nothing outside it, and every bin inside holds the same share.
  EXPECT_EQ(histogram.share[20], 0.0);                   // 0.40 D: beyond the highlights
  EXPECT_NEAR(histogram.share[40], 0.02 / 0.68, 0.008);  // 0.80 D
}

}  // namespace
}  // namespace platewise
