#include "platewise/regions/find_regions.h"

#include <gtest/gtest.h>

#include <limits>
#include <opencv2/imgproc.hpp>
#include <ostream>
#include <string>

#include "drawn_plate.h"

namespace platewise::test {
namespace {

struct Case {
  std::string name;
  DrawnPlate plate;
};

Case drawn(std::string name, std::array<double, 4> rim, double radius, std::array<double, 4> bare_corner,
           double margin_fog = 0.06) {
  DrawnPlate plate;
  plate.rim = rim;
  plate.corner_radius = radius;
  plate.bare_corner = bare_corner;
  plate.margin_fog = margin_fog;
  return {std::move(name), plate};
}

std::vector<Case> cases() {
  constexpr std::array<double, 4> kNone = {0, 0, 0, 0};
  std::vector<Case> all;
  const std::vector<Case> shapes = {
      drawn("NoRim", kNone, 0, kNone),
      drawn("NoRimTwoBareCorners", kNone, 0, {12, 0, 8, 0}),
      drawn("TwoOppositeSides", {0, 4, 0, 4}, 0, kNone),
      drawn("TwoAdjacentSides", {4, 3, 0, 0}, 4, kNone),
      drawn("FourSquare", {4, 3, 5, 3.5}, 0, kNone),
      drawn("FourRounded", {4, 3, 5, 3.5}, 6, kNone),
      drawn("FourRoundedOneBareCorner", {4, 3, 5, 3.5}, 6, {12, 0, 0, 0}),
      // 0.02 D of margin fog, six sigmas of this film's mottle, is the limit: one of two corners may be
      // missed.
      drawn("ClearRimBareCorners", {4, 4, 4, 4}, 5, {14, 0, 10, 0}, 0.035),
      drawn("VeiledRimBareCorners", {4, 4, 4, 4}, 5, {14, 0, 10, 0}, 0.25),
  };
  std::uint64_t seed = 100;
  for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
    for (Case one : shapes) {
      one.plate.kind = kind;
      one.plate.long_side_px = 720;
      one.plate.seed = ++seed;
      one.name += kind == PlateKind::tintype ? "OnTintype" : "OnNegative";
      all.push_back(one);
    }
  }
  return all;
}

void PrintTo(const Case& one, std::ostream* out) {
  *out << one.name;
}

// What is measured on must be what it is called; how much of it is found matters less.
void expect_pure(const Regions& found, const DrawnTruth& truth) {
  EXPECT_GE(share_inside(found.picture.inside, truth.picture), 0.99);
  EXPECT_GE(share_inside(found.rim.inside, truth.rim), 0.99);
  EXPECT_GE(share_inside(found.bare.inside, truth.bare), 0.98);
}

void expect_found(const Regions& found, const DrawnTruth& truth) {
  // Without a rim the picture keeps a millimetre clear of the plate's edge.
  EXPECT_GE(overlap(found.picture.inside, truth.picture), 0.95);
  EXPECT_GE(found.rim.share(), 0.3 * Mask{truth.rim}.share());
  EXPECT_EQ(found.image_area_units.has_value(), cv::countNonZero(truth.rim) > 0);
  EXPECT_GE(found.bare.share(), 0.2 * Mask{truth.bare}.share());
  EXPECT_NEAR(found.covered_fraction, 1.0 - Mask{truth.bare}.share(), 0.01);
}

void expect_apart(const Regions& found) {
  EXPECT_EQ(cv::countNonZero(found.picture.inside & found.rim.inside), 0);
  EXPECT_EQ(cv::countNonZero(found.picture.inside & found.bare.inside), 0);
  EXPECT_EQ(cv::countNonZero(found.rim.inside & found.bare.inside), 0);
  EXPECT_EQ(cv::countNonZero(found.rim.inside & ~found.film.inside), 0);
  EXPECT_EQ(cv::countNonZero(found.picture.inside & ~found.film.inside), 0);
}

std::vector<Corner> bare_corners(const DrawnPlate& plate) {
  constexpr std::array kCorners = {Corner::top_left, Corner::top_right, Corner::bottom_right,
                                   Corner::bottom_left};
  std::vector<Corner> bare;
  for (std::size_t corner = 0; corner < 4; ++corner) {
    if (plate.bare_corner[corner] > 0) bare.push_back(kCorners[corner]);
  }
  return bare;
}

class DrawnRegions : public testing::TestWithParam<Case> {};

TEST_P(DrawnRegions, AreFoundWhereTheyAre) {
  const DrawnPlate& plate = GetParam().plate;
  const DrawnTruth truth = draw(plate);
  const Regions found = find_regions(truth.plate, {plate.kind, false, false});
  expect_pure(found, truth);
  expect_found(found, truth);
  expect_apart(found);
  EXPECT_EQ(found.uncovered_corners, bare_corners(plate));
}

INSTANTIATE_TEST_SUITE_P(Shapes, DrawnRegions, testing::ValuesIn(cases()),
                         [](const auto& row) { return row.param.name; });

TEST(Regions, ABlackSceneBesideTheRimDoesNotHideTheRim) {
  DrawnPlate plate;
  plate.dark_left = true;
  plate.long_side_px = 720;
  const DrawnTruth truth = draw(plate);
  const Regions found = find_regions(truth.plate, {plate.kind, false, false});
  EXPECT_GE(overlap(found.picture.inside, truth.picture), 0.95);
  EXPECT_GE(share_inside(found.rim.inside, truth.rim), 0.99);
}

TEST(Regions, AWanderingFilmEdgeIsTold) {
  DrawnPlate plate;
  plate.film_inset = 1.5;
  plate.long_side_px = 720;
  const DrawnTruth truth = draw(plate);
  const Regions found = find_regions(truth.plate, {plate.kind, false, false});
  EXPECT_GE(share_inside(found.rim.inside, truth.rim), 0.99);
  EXPECT_GE(share_inside(found.bare.inside, truth.bare), 0.98);
  // Bare strips narrower than the plate's own edge zone are not seen, so some of the 6% may be missed.
  EXPECT_NEAR(found.covered_fraction, 1.0 - Mask{truth.bare}.share(), 0.035);
}

// A lamp mirrored in the varnish is lighter than any silver: at most half of the light comes back (PRACTICE).
TEST(Regions, AMirroredLampIsGlareInAPhotoAndPictureInAScan) {
  DrawnPlate plate;
  plate.long_side_px = 720;
  DrawnTruth truth = draw(plate);
  cv::Mat lamp = cv::Mat::zeros(truth.plate.density.size(), CV_8UC1);
  cv::rectangle(lamp, {200, 300, 80, 110}, 255, cv::FILLED);
  truth.plate.density.setTo(0.04F, lamp);
  const Regions photo = find_regions(truth.plate, {plate.kind, false, true});
  EXPECT_GE(share_inside(lamp, photo.glare.inside), 0.95);
  EXPECT_LE(photo.glare.share(), 2.0 * Mask{lamp}.share());
  EXPECT_EQ(cv::countNonZero(photo.picture.inside & photo.glare.inside), 0);
  EXPECT_FALSE(photo.warnings.empty());
  EXPECT_EQ(cv::countNonZero(find_regions(truth.plate, {plate.kind, false, false}).glare.inside), 0);
}

TEST(Regions, APlateWithoutAMirroredLampHasNoGlare) {
  DrawnPlate plate;
  plate.long_side_px = 720;
  EXPECT_EQ(cv::countNonZero(find_regions(draw(plate).plate, {plate.kind, false, true}).glare.inside), 0);
}

// Bare corners without any rim: nothing of their tone may stay in the picture.
TEST(Regions, SupportsToneIsNotLeftInThePicture) {
  DrawnPlate plate;
  plate.rim = {0, 0, 0, 0};
  plate.bare_corner = {12, 0, 8, 0};
  plate.long_side_px = 720;
  const DrawnTruth truth = draw(plate);
  const Regions found = find_regions(truth.plate, {plate.kind, false, false});
  EXPECT_LE(cv::countNonZero(found.picture.inside & truth.bare),
            0.0005 * static_cast<double>(truth.bare.total()));
}

TEST(Regions, GrainIsMeasuredInTheFilm) {
  DrawnPlate plate;
  plate.long_side_px = 720;
  plate.grain = 0.0;
  for (const double noise : {0.005, 0.02}) {
    plate.scanner_noise = noise;
    const Regions found = find_regions(draw(plate).plate, {plate.kind, false, false});
    EXPECT_NEAR(found.grain_density, noise, 0.1 * noise);
  }
}

TEST(Regions, AnEmptyPictureGivesNoRegionsButDoesNotFail) {
  DensityImage nothing;
  nothing.density = cv::Mat(60, 80, CV_32FC1, cv::Scalar(std::numeric_limits<float>::quiet_NaN()));
  const Regions found = find_regions(nothing, {});
  EXPECT_EQ(cv::countNonZero(found.picture.inside), 0);
  EXPECT_EQ(cv::countNonZero(found.rim.inside), 0);
  EXPECT_EQ(cv::countNonZero(found.bare.inside), 0);
}

}  // namespace
}  // namespace platewise::test
