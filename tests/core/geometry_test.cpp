#include "platewise/core/geometry.h"

#include <gtest/gtest.h>

namespace platewise {
namespace {

TEST(Homography, TakesCornersToCornersAndBack) {
  const Quad photo{{{102, 48}, {911, 80}, {870, 640}, {60, 601}}};
  const Quad plate = rectangle(107.9, 82.5);
  const Homography plate_from_photo = target_from_source(photo, plate);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_NEAR(distance(plate_from_photo(photo[i]), plate[i]), 0.0, 1e-9);
    EXPECT_NEAR(distance(plate_from_photo.inverse()(plate[i]), photo[i]), 0.0, 1e-9);
  }
}

TEST(Geometry, AnglesAreSeenOnTheScreen) {
  // Contract: a line from bottom left to top right is +45.
  EXPECT_DOUBLE_EQ(screen_angle_deg({0, 10}, {10, 0}), 45.0);
  EXPECT_DOUBLE_EQ(screen_angle_deg({0, 0}, {0, 10}), 270.0);
}

TEST(Geometry, AreaDoesNotDependOnTheTurningSense) {
  const Polygon clockwise{{0, 0}, {4, 0}, {4, 3}, {0, 3}};
  const Polygon counter(clockwise.rbegin(), clockwise.rend());
  EXPECT_DOUBLE_EQ(area(clockwise), 12.0);
  EXPECT_DOUBLE_EQ(area(counter), 12.0);
}

TEST(Geometry, ConvexityRefusesCrossedAndFlatQuads) {
  EXPECT_TRUE(is_convex(rectangle(3, 2)));
  EXPECT_FALSE(is_convex(Quad{{{0, 0}, {1, 1}, {1, 0}, {0, 1}}}));
  EXPECT_FALSE(is_convex(Quad{{{0, 0}, {1, 0}, {2, 0}, {0, 1}}}));
}

}  // namespace
}  // namespace platewise
