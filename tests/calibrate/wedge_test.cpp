#include "platewise/calibrate/wedge.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace platewise {
namespace {

using testing::HasSubstr;

TEST(Wedge, IsReadClearEndFirstWhicheverWayItIsNumbered) {
  const auto rising = parse_wedge("step,density\n1,0.05\n2,0.2\n3,0.35\n4,0.5\n5,0.65\n", "w.csv");
  const auto falling = parse_wedge("step,density\n1,0.65\n2,0.5\n3,0.35\n4,0.2\n5,0.05\n", "w.csv");
  ASSERT_TRUE(rising.has_value() && falling.has_value());
  ASSERT_EQ(rising->steps.size(), 5U);
  for (std::size_t i = 0; i < 5; ++i) EXPECT_EQ(rising->steps[i].density, falling->steps[i].density);
  EXPECT_DOUBLE_EQ(rising->steps[0].density, 0.05);
  EXPECT_FALSE(rising->has_blue());
}

TEST(Wedge, CarriesTheBlueDensities) {
  const auto wedge = parse_wedge(
      "density,step,blue_density\n0.05,1,0.06\n0.2,2,0.24\n0.35,3,0.4\n0.5,4,0.57\n0.65,5,0.7\n", "w.csv");
  ASSERT_TRUE(wedge.has_value());
  EXPECT_TRUE(wedge->has_blue());
  EXPECT_DOUBLE_EQ(*wedge->steps[1].blue_density, 0.24);
}

struct Bad {
  const char* name;
  const char* text;
  const char* says;
};
class BadWedge : public testing::TestWithParam<Bad> {};

TEST_P(BadWedge, IsRefusedWithTheReason) {
  const auto wedge = parse_wedge(GetParam().text, "w.csv");
  ASSERT_FALSE(wedge.has_value());
  EXPECT_THAT(wedge.error().message(), HasSubstr(GetParam().says));
  EXPECT_THAT(wedge.error().message(), HasSubstr("w.csv"));
}
INSTANTIATE_TEST_SUITE_P(
    Files, BadWedge,
    testing::Values(
        Bad{"Empty", "", ""}, Bad{"NoDensity", "step,dens\n1,2\n", "unknown column 'dens'"},
        Bad{"NoStep", "density\n1\n", "no column 'step'"},
        Bad{"Few", "step,density\n1,0.1\n2,0.2\n", "lists 2 steps"},
        Bad{"NoNumber", "step,density\n1,0.1\n2,0,2\n3,0.3\n4,.4\n5,.5\n", ""},
        Bad{"Word", "step,density\n1,0.1\n2,x\n3,0.3\n4,0.4\n5,0.5\n", "'x' is no number"},
        Bad{"Infinite", "step,density\n1,0.1\n2,inf\n3,0.3\n4,0.4\n5,0.5\n", "'inf' is no number"},
        Bad{"Huge", "step,density\n1,0.1\n2,20\n3,30\n4,40\n5,50\n", "no wedge density"},
        Bad{"Order", "step,density\n1,0.1\n3,0.2\n2,0.3\n4,0.4\n5,0.5\n", "out of order"},
        Bad{"Turns", "step,density\n1,0.1\n2,0.3\n3,0.2\n4,0.4\n5,0.5\n", "do not run one way"},
        Bad{"Equal", "step,density\n1,0.1\n2,0.1\n3,0.2\n4,0.4\n5,0.5\n", "do not run one way"},
        Bad{"BlueTurns", "step,density,blue_density\n1,0.1,0.5\n2,0.2,0.4\n3,0.3,0.3\n4,0.4,0.2\n5,0.5,0.1\n",
            "blue densities"}),
    [](const auto& row) { return std::string(row.param.name); });

}  // namespace
}  // namespace platewise
