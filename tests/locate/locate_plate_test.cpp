#include "platewise/locate/locate_plate.h"

#include <gtest/gtest.h>

#include <string>

#include "locate/drawn_scan.h"

namespace platewise {
namespace {

using drawn::Ground;

drawn::Scene one_plate(Ground ground, double angle_deg, std::uint64_t seed) {
  drawn::Scene scene;
  scene.width_px = 700;
  scene.height_px = 850;
  scene.ground = ground;
  scene.seed = seed;
  drawn::Plate plate;
  plate.seed = seed;
  plate.corners_px = drawn::turned_rectangle({350, 430}, 520, 680, angle_deg);
  scene.plates = {plate};
  return scene;
}

struct Bed {
  const char* name;
  Ground ground;
  double angle_deg;
};

class OnAFlatbed : public testing::TestWithParam<Bed> {};

// The contract's target for flatbed scans: corners within 0.3% of the diagonal.
TEST_P(OnAFlatbed, CornersAreWithinThreeThousandthsOfTheDiagonal) {
  const Bed bed = GetParam();
  drawn::Scene scene = one_plate(bed.ground, bed.angle_deg, 3);
  scene.plates[0].ragged_mm = 0.2;
  const PlateOutline outline = locate_plate(drawn::scan_of(scene));
  ASSERT_TRUE(outline.found);
  EXPECT_EQ(outline.source, OutlineSource::seen);
  EXPECT_FALSE(outline.photo);
  EXPECT_LT(drawn::corner_error_percent(outline.corners_px, scene.plates[0].corners_px), 0.3);
  EXPECT_GT(outline.confidence, 0.8);
}

INSTANTIATE_TEST_SUITE_P(LocatePlate, OnAFlatbed,
                         testing::Values(Bed{"WhiteStraight", Ground::white_bed, 0.0},
                                         Bed{"WhiteTurned", Ground::white_bed, 3.0},
                                         Bed{"BlackTurned", Ground::black_bed, -2.0},
                                         Bed{"GreyTurned", Ground::grey_bed, 1.0}),
                         [](const auto& instance) { return std::string(instance.param.name); });

}  // namespace
}  // namespace platewise
