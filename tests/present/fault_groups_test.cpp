#include "../../src/present/fault_groups.h"

#include <gtest/gtest.h>

#include <opencv2/core.hpp>
#include <set>

#include "platewise/present/overlay.h"
#include "present/sample_plates.h"

namespace platewise {
namespace {

TEST(FaultGroups, HoldEveryFaultOnce) {
  const PlateScore plate = sample_plate({.comets = 4, .pinholes = 30, .dust_specks = 2});
  std::set<std::size_t> seen;
  for (const FaultGroup& group : fault_groups(plate)) {
    for (const std::size_t member : group.members) {
      EXPECT_EQ(plate.faults.found[member].id, group.id);
      EXPECT_TRUE(seen.insert(member).second);
    }
  }
  EXPECT_EQ(seen.size(), plate.faults.found.size());
}

TEST(FaultGroups, AreShownAsOneOnlyBeyondTwelve) {
  EXPECT_FALSE(fault_groups(sample_plate({.comets = 0, .pinholes = 12})).front().shown_as_one());
  EXPECT_TRUE(fault_groups(sample_plate({.comets = 0, .pinholes = 13})).front().shown_as_one());
}

TEST(FaultGroups, PutTheWorstFirst) {
  const PlateScore plate = sample_plate({.comets = 4, .pinholes = 30});
  const auto groups = fault_groups(plate);
  EXPECT_EQ(groups.front().id, "comet");
  for (const FaultGroup& group : groups) {
    for (std::size_t i = 1; i < group.members.size(); ++i) {
      EXPECT_GE(plate.faults.found[group.members[i - 1]].severity,
                plate.faults.found[group.members[i]].severity);
    }
  }
}

TEST(FaultGroups, CountPerSquareCentimetreOfFilm) {
  PlateScore plate = sample_plate({.comets = 0, .pinholes = 26});
  plate.regions->covered_fraction = 0.5;
  // 26 / (0.5 * 12.7 cm * 10.2 cm)
  EXPECT_NEAR(fault_groups(plate).front().per_cm2.value(), 0.4014, 1e-3);
  plate.outline.scale.millimetres = false;
  EXPECT_FALSE(fault_groups(plate).front().per_cm2.has_value());
}

// The overlay's fault colour, which the grey plate itself never has.
int coloured(const PlateScore& plate) {
  const cv::Mat picture = plate_overlay(plate, 700).rgb;
  int count = 0;
  for (int y = 0; y < picture.rows; ++y) {
    for (int x = 0; x < picture.cols; ++x) {
      const auto pixel = picture.at<cv::Vec3b>(y, x);
      count += pixel[0] > 220 && pixel[1] < 110 && pixel[2] < 110;
    }
  }
  return count;
}

TEST(FaultGroups, LeaveMoreOfThePlateToBeSeen) {
  PlateScore single = sample_plate({.comets = 0, .pinholes = 12});
  PlateScore group = sample_plate({.comets = 0, .pinholes = 13});
  EXPECT_GT(coloured(group), 0);
  EXPECT_LT(coloured(group), coloured(single));
}

}  // namespace
}  // namespace platewise
