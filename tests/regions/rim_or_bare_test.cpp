// Bare support, covered rim and picture lie in steps. Whatever the film's edge looks like, what is measured
// as rim is rim and what is measured as bare support is bare.
#include <gtest/gtest.h>

#include <array>
#include <opencv2/imgproc.hpp>
#include <ostream>
#include <string>

#include "drawn_plate.h"
#include "platewise/regions/find_regions.h"

namespace platewise::test {
namespace {

struct Case {
  std::string name;
  DrawnPlate plate;
};

void PrintTo(const Case& one, std::ostream* out) {
  *out << one.name;
}

Case edged(std::string name, std::array<double, 4> bare_corner, double inset, double wander,
           double margin_fog) {
  DrawnPlate plate;
  plate.rim = {6, 6.5, 7, 6};
  plate.corner_radius = 6;
  plate.bare_corner = bare_corner;
  plate.film_inset = inset;
  plate.film_wander = wander;
  plate.margin_fog = margin_fog;
  plate.long_side_px = 720;
  return {std::move(name), plate};
}

std::vector<Case> cases() {
  std::vector<Case> all;
  const std::vector<Case> shapes = {
      edged("ThreeCornersIntoTheOpening", {26, 24, 0, 28}, 0, 0, 0.06),
      edged("ThreeCornersVeiled", {26, 24, 0, 28}, 0, 0, 0.2),
      edged("StraightFilmEdge", {0, 0, 0, 0}, 2.0, 0.05, 0.06),
      edged("StraightFilmEdgeVeiled", {0, 0, 0, 0}, 2.0, 0.05, 0.2),
      edged("StraightFilmEdgeAndACorner", {24, 0, 0, 0}, 2.0, 0.05, 0.1),
  };
  std::uint64_t seed = 300;
  for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
    for (Case one : shapes) {
      one.plate.kind = kind;
      one.plate.seed = ++seed;
      one.name += kind == PlateKind::tintype ? "OnTintype" : "OnNegative";
      all.push_back(one);
    }
  }
  return all;
}

class RimOrBare : public testing::TestWithParam<Case> {};

TEST_P(RimOrBare, EachIsMeasuredWhereItIs) {
  const DrawnPlate& plate = GetParam().plate;
  const DrawnTruth truth = draw(plate);
  const Regions found = find_regions(truth.plate, {plate.kind, false, false});
  EXPECT_GE(found.rim.share(), 0.1 * Mask{truth.rim}.share());
  EXPECT_GE(share_inside(found.rim.inside, truth.rim), 0.98);
  // A narrow dark strip all along the edge may as well be the surround, and is then left out of the plate.
  if (plate.bare_corner != std::array{0.0, 0.0, 0.0, 0.0}) {
    EXPECT_GE(found.bare.share(), 0.1 * Mask{truth.bare}.share());
  }
  EXPECT_GE(share_inside(found.bare.inside, truth.bare), 0.98);
  // A hundredth of the picture decides the floor.
  EXPECT_LE(cv::countNonZero(found.picture.inside & ~found.unsure.inside & truth.bare),
            0.001 * cv::countNonZero(found.picture.inside));
}

INSTANTIATE_TEST_SUITE_P(FilmEdges, RimOrBare, testing::ValuesIn(cases()),
                         [](const auto& row) { return row.param.name; });

// The rim's fog is too little to tell it from bare support, but not the picture beside it.
TEST(Regions, ACornerThatMayBeBareIsUnsure) {
  for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
    Case one = edged("", {30, 0, 0, 0}, 0, 0, 0.004);
    one.plate.kind = kind;
    const DrawnTruth truth = draw(one.plate);
    const Regions found = find_regions(truth.plate, {kind, false, false});
    EXPECT_GE(share_inside(found.picture.inside & truth.bare, found.unsure.inside), 0.95);
    EXPECT_EQ(cv::countNonZero(found.unsure.inside & ~found.picture.inside), 0);
  }
}

TEST(Regions, ACoveredPlateIsSureToItsOpening) {
  for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
    Case one = edged("", {0, 0, 0, 0}, 0, 0, 0.06);
    one.plate.kind = kind;
    const Regions found = find_regions(draw(one.plate).plate, {kind, false, false});
    EXPECT_LE(found.unsure.share(), 0.01 * found.picture.share());
  }
}

}  // namespace
}  // namespace platewise::test
