#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tones/drawn_plate.h"

// What may be rim or bare support is never taken for the picture's floor or for the margin without saying so.
namespace platewise {
namespace {

using testing::Contains;
using testing::HasSubstr;

// The picture's lower right corner, 4 % of it, has the rim's tone; the rest stands `above` the rim.
DrawnPlate dark_corner(double above) {
  DrawnPlate plate;
  plate.picture = [=](double x_mm, double y_mm) {
    const bool corner = x_mm > 29.0 && y_mm > 21.0;
    return corner ? 1.32 : 1.32 - above - 0.01 * x_mm;
  };
  plate.draw();
  plate.regions.unsure.inside = DrawnPlate::rectangle_mask(29.0, 21.0, 8.0, 6.0);
  return plate;
}

TEST(RimDoubt, AFloorThatHangsOnADoubtfulCornerIsTakenElsewhere) {
  const DrawnPlate plate = dark_corner(0.25);
  const Tones tones = plate.tones();
  EXPECT_NEAR(tones.floor_density->value, 1.32 - 0.25 - 0.03, 0.03);
  // The corner's own tone stays possible.
  EXPECT_GE(tones.floor_density->u, 0.5 * 0.2);
  EXPECT_GT(tones.floor_over_margin->value, 0.2);
}

TEST(RimDoubt, WithoutDoubtTheCornerIsTheFloor) {
  DrawnPlate plate = dark_corner(0.25);
  plate.regions.unsure = {};
  EXPECT_NEAR(plate.tones().floor_density->value, 1.32, 0.01);
}

TEST(RimDoubt, ASmallMoveOnlyWidensTheFloor) {
  DrawnPlate plate = dark_corner(0.0);
  const Tones doubted = plate.tones();
  plate.regions.unsure = {};
  const Tones sure = plate.tones();
  EXPECT_NEAR(doubted.floor_density->value, sure.floor_density->value, 1e-6);
  EXPECT_GT(doubted.floor_density->u, sure.floor_density->u);
}

// Developed film has some fog: a rim as clear as the support is the support, or that is the rim.
TEST(RimDoubt, ARimAsClearAsBareSupportIsNoMargin) {
  DrawnPlate plate;
  plate.margin = plate.support - 0.002;
  const Tones tones = plate.draw().tones();
  EXPECT_FALSE(tones.margin_density.has_value());
  EXPECT_FALSE(tones.margin_fog.has_value());
  EXPECT_FALSE(tones.floor_over_margin.has_value());
  EXPECT_THAT(tones.warnings, Contains(HasSubstr("as clear as the bare support")));
}

// Where the picture's shadows are as clear too, nothing on the plate is clearer than film: the support may be
// film.
TEST(RimDoubt, FogIsRoughWhereBareSupportIsAsDarkAsAllFilm) {
  DrawnPlate plate;
  plate.margin = plate.support - 0.002;
  plate.picture = [&](double x_mm, double) { return plate.support - 0.02 * std::max(0.0, x_mm - 8.0); };
  const Tones tones = plate.draw().tones();
  EXPECT_NEAR(tones.fog->value, 0.0, 0.01);
  EXPECT_GE(tones.fog->u, 0.06);
  EXPECT_GE(tones.margin_fog->u, 0.06);
  EXPECT_LT(tones.floor_over_margin->u, 0.02);
  EXPECT_THAT(tones.warnings, Contains(HasSubstr("it may be film")));
}

TEST(RimDoubt, AClearRimIsAMargin) {
  DrawnPlate plate;
  plate.margin = plate.support - 0.025;
  EXPECT_NEAR(plate.draw().tones().margin_fog->value, 0.025, 0.003);
}

}  // namespace
}  // namespace platewise
