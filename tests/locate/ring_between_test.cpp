#include "../../src/locate/ring_between.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <string>

namespace platewise {
namespace {

const Quad kOuter = {Point{60, 60}, Point{240, 60}, Point{240, 300}, Point{60, 300}};
const Quad kInner = {Point{75, 75}, Point{225, 75}, Point{225, 285}, Point{75, 285}};
// The same with its lower side on the outer one's.
const Quad kInnerDown = {Point{75, 75}, Point{225, 75}, Point{225, 300}, Point{75, 300}};

// Between the outlines: what the ground has there, one tone, or a shadow that fades outward.
enum class Between { ground, rim, shadow };

struct Case {
  const char* name;
  bool wood;  // grain of light and dark streaks, else an even bed
  Between between;
  Quad inner;
  Ring expected;
};

SearchImage drawn(const Case& c) {
  cv::Mat light(360, 300, CV_32FC1);
  for (int y = 0; y < light.rows; ++y) {
    for (int x = 0; x < light.cols; ++x) {
      const double streaks = 0.1 * std::sin(2 * std::numbers::pi * y / 23.0);
      light.at<float>(y, x) = static_cast<float>(0.6 + (c.wood ? streaks : 0.0));
    }
  }
  if (c.between == Between::rim) light(cv::Rect(60, 60, 180, 240)).setTo(0.3);
  if (c.between == Between::shadow) {
    constexpr int kFade_px = 15;
    for (int i = 0; i < kFade_px; ++i)
      light(cv::Rect(60 + i, 60 + i, 180 - 2 * i, 240 - 2 * i)).setTo(0.6 - 0.015 * i);
  }
  light(cv::Rect(cv::Point(75, 75), cv::Point(225, static_cast<int>(c.inner[2].y)))).setTo(0.8);
  return {.lightness = light, .noise = 0.002};
}

class BetweenTwoOutlines : public testing::TestWithParam<Case> {};

TEST_P(BetweenTwoOutlines, IsToldFromTheGround) {
  const SearchImage search = drawn(GetParam());
  EXPECT_EQ(ring_between(search, kOuter, GetParam().inner), GetParam().expected);
  // A darker exposure is the same picture; lightness scales with the light.
  SearchImage darker = search;
  darker.lightness *= 0.9;
  EXPECT_EQ(ring_between(darker, kOuter, GetParam().inner), GetParam().expected);
}

INSTANTIATE_TEST_SUITE_P(RingBetween, BetweenTwoOutlines,
                         testing::Values(Case{"RimOnWood", true, Between::rim, kInner, Ring::plate_all_round},
                                         Case{"RimOnABed", false, Between::rim, kInner,
                                              Ring::plate_all_round},
                                         Case{"RimOnThreeSides", true, Between::rim, kInnerDown, Ring::plate},
                                         Case{"Wood", true, Between::ground, kInner, Ring::ground},
                                         Case{"Bed", false, Between::ground, kInner, Ring::unclear},
                                         Case{"Shadow", false, Between::shadow, kInner, Ring::unclear}),
                         [](const auto& instance) { return std::string(instance.param.name); });

TEST(RingBetween, OneOutlineTakenTwiceIsUnclear) {
  const SearchImage search = drawn({"", true, Between::rim, kInner, Ring::unclear});
  EXPECT_EQ(ring_between(search, kOuter, kOuter), Ring::unclear);
}

}  // namespace
}  // namespace platewise
