#include "platewise/recommend/longest_exposure.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace platewise {
namespace {

Recommendation to(double seconds) {
  Recommendation advice;
  advice.exposure.to_s = advice.exposure.to_exact_s = seconds;
  advice.alternatives = {"Make a strip plate: ...", "other"};
  return advice;
}

// 24 s at f/5.6 is 12 s at f/4: one stop (ISO 517 markings, tests/recommend/exposure_arithmetic_test.cpp).
TEST(LongestExposure, OpensTheLensForWhatTheSitterCannotHold) {
  Recommendation advice = to(24.0);
  offer_longest_exposure(advice, {.exposure_s = 12.0, .aperture = 5.6}, 12.0);
  ASSERT_EQ(advice.alternatives.size(), 3U);
  EXPECT_THAT(advice.alternatives[1], testing::HasSubstr("keep to 12 s and open the lens from f/5.6 to f/4"));
}

TEST(LongestExposure, SpeaksOfStopsWithoutANotedAperture) {
  Recommendation advice = to(24.0);
  offer_longest_exposure(advice, {.exposure_s = 12.0}, 12.0);
  EXPECT_THAT(advice.alternatives[1], testing::HasSubstr("by 1.0 stops"));
}

TEST(LongestExposure, SaysNothingWhereTheTimeFits) {
  Recommendation advice = to(12.0);
  offer_longest_exposure(advice, {.exposure_s = 12.0}, 12.0);
  EXPECT_EQ(advice.alternatives.size(), 2U);
}

}  // namespace
}  // namespace platewise
