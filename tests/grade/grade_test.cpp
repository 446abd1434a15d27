#include "platewise/grade/grade.h"

#include <gtest/gtest.h>

#include <cmath>

namespace platewise {
namespace {

Recommendation advice(double stops, double time_fraction) {
  return {.exposure_error_stops = stops, .development_error_fraction = time_fraction, .veil_density = 0.06};
}

Tones with_margin_fog(double fog) {
  return {.margin_fog = Quantity{fog, 0.02}};
}

Grade graded(double stops, double time_fraction, double margin_fog, const Faults& faults = {},
             double covered = 1.0) {
  const auto result = grade(with_margin_fog(margin_fog), faults, covered, advice(stops, time_fraction));
  EXPECT_TRUE(result.has_value());
  return *result;
}

Faults some(const char* id, double severity, int count = 1) {
  Faults faults;
  for (int i = 0; i < count; ++i) faults.found.push_back({.id = id, .severity = severity});
  return faults;
}

// The anchors of the trade handbook, process.md section 5a-bis (common practice).
TEST(Grade, MeetsTheHandbooksAnchors) {
  constexpr double kExposure[][2] = {{0, 100}, {1.0 / 3.0, 85}, {1, 55}, {2, 20}, {3, 0}, {4, 0}};
  for (const auto& row : kExposure) {
    EXPECT_NEAR(graded(row[0], 0, 0).exposure, row[1], 1e-9) << row[0];
    EXPECT_NEAR(graded(-row[0], 0, 0).exposure, row[1], 1e-9) << row[0];
  }
  constexpr double kDevelopment[][2] = {{0, 100}, {0.1, 90}, {0.3, 60}, {0.6, 25}, {1, 0}};
  for (const auto& row : kDevelopment) EXPECT_NEAR(graded(0, row[0], 0).development, row[1], 1e-9) << row[0];
  constexpr double kFog[][2] = {{-0.02, 100}, {0.03, 100}, {0.08, 85}, {0.15, 60}, {0.3, 25}, {0.6, 0}};
  for (const auto& row : kFog) EXPECT_NEAR(graded(0, 0, row[0]).fog, row[1], 1e-9) << row[0];
}

TEST(Grade, OverallIsHalfTheMeanAndHalfTheWorst) {
  const Grade one = graded(1.0, 0.1, 0.08);
  EXPECT_NEAR(one.overall, 0.5 * (55 + 90 + 85 + 100 + 100) / 5 + 0.5 * 55, 1e-9);
  EXPECT_NEAR(graded(0, 0, 0).overall, 100.0, 1e-9);
}

TEST(Grade, NeverRisesWithAnError) {
  for (double error = 0.0; error < 3.5; error += 0.05) {
    const double more = error + 0.05;
    EXPECT_LE(graded(more, 0, 0).overall, graded(error, 0, 0).overall);
    EXPECT_LE(graded(0, more, 0).overall, graded(0, error, 0).overall);
    EXPECT_LE(graded(0, 0, more).overall, graded(0, 0, error).overall);
    EXPECT_LE(graded(0, 0, 0, {}, 1.0 - more / 3.6).overall, graded(0, 0, 0, {}, 1.0 - error / 3.6).overall);
    EXPECT_LE(graded(0, 0, 0, some("comet", more / 3.6)).overall,
              graded(0, 0, 0, some("comet", error / 3.6)).overall);
  }
}

TEST(Grade, FaultsTakeFromTheirPart) {
  EXPECT_NEAR(graded(0, 0, 0, some("pour_ridges", 0.3)).coating, 70.0, 1e-9);
  EXPECT_NEAR(graded(0, 0, 0, some("comet", 0.3)).cleanliness, 70.0, 1e-9);
  EXPECT_NEAR(graded(0, 0, 0, some("light_leak", 0.3)).fog, 70.0, 1e-9);
  Faults two = some("comet", 0.2);
  two.found.push_back({.id = "scratch", .severity = 0.5});
  EXPECT_NEAR(graded(0, 0, 0, two).cleanliness, 100 * 0.8 * 0.5, 1e-9);
}

TEST(Grade, SpecksOfOneKindCountOnceAsAGroup) {
  EXPECT_NEAR(graded(0, 0, 0, some("dust_speck", 0.02, 200)).cleanliness, 100 * (1 - 0.02 * std::sqrt(200.0)),
              1e-9);
  EXPECT_GT(graded(0, 0, 0, some("dust_speck", 0.02, 200)).cleanliness, 70.0);
}

TEST(Grade, ABareHoldingCornerIsOrdinary) {
  EXPECT_GE(graded(0, 0, 0, some("uncovered_corner", 0.5), 0.97).coating, 95.0);
  EXPECT_LE(graded(0, 0, 0, some("uncovered_corner", 0.5), 0.6).coating, 60.0);
}

TEST(Grade, SaysWhyForEachToneAndEachFault) {
  const Grade one = graded(-0.8, 0.2, 0.1, some("pour_ridges", 0.3));
  ASSERT_EQ(one.because.size(), 4U);
  EXPECT_EQ(one.because[0].rfind("Exposure 64: 0.8 stops too little", 0), 0U) << one.because[0];
  EXPECT_EQ(one.because[1].rfind("Development 75: about 20% too long", 0), 0U) << one.because[1];
}

TEST(Grade, IsEmptyWithoutTones) {
  EXPECT_FALSE(grade({}, {}, 1.0, std::nullopt).has_value());
}

}  // namespace
}  // namespace platewise
