#include <gtest/gtest.h>

#include "loop.h"

namespace platewise::trial {
namespace {

// Few photographers, so that the test is quick: scripts/closed-loop runs many and prints all figures. The
// bounds are what must not get lost, three binomial sigmas and more below what the long run gives (see
// README.md here).
void expect_useful(const LoopResult& result, double exposure_right, double covered) {
  EXPECT_GE(result.exposure_right[0], exposure_right) << result.table();
  EXPECT_GE(result.exposure_covered[0], covered) << result.table();
  EXPECT_GE(result.development_covered[0], covered) << result.table();
  EXPECT_LE(result.worse[0], 0.35) << result.table();
}

TEST(ClosedLoop, IsUsefulWithAnOwnCurve) {
  for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
    const LoopResult result = closed_loop({.kind = kind,
                                           .photographers = 24,
                                           .corrections = 1,
                                           .calibrated = true,
                                           .tone_u = 0.02,
                                           .draws = 400,
                                           .oracles = false});
    expect_useful(result, 0.25, 0.5);
    EXPECT_GT(result.right[0], result.rule_of_thumb_right) << result.table();
  }
}

TEST(ClosedLoop, IsCautiousWithoutACurve) {
  const LoopResult result =
      closed_loop({.photographers = 24, .corrections = 1, .draws = 400, .oracles = false});
  expect_useful(result, 0.1, 0.5);
}

}  // namespace
}  // namespace platewise::trial
