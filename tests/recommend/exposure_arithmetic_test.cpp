#include "platewise/recommend/exposure_arithmetic.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "published/published.h"

namespace platewise {
namespace {

// Source: reference figures "recommendation_arithmetic", stops: one stop doubles the exposure (International
// Archives of Photogrammetry, Commissions I and II, part 3, ca. 1960; rule read, numbers computed).
struct Row {
  double stops;
  double next_time_from_10_s;
  double next_f_number_from_f8;
};
constexpr Row kStops[] = {{-3.0, 1.25, 22.627417},
                          {-1.5, 3.535533906, 13.45434264},
                          {-1.0, 5.0, 11.3137085},
                          {-0.6666666667, 6.299605249, 10.0793684},
                          {0.0, 10.0, 8.0},
                          {0.3333333333, 12.5992105, 7.127189745},
                          {0.5, 14.14213562, 6.727171322},
                          {1.0, 20.0, 5.656854249},
                          {3.0, 80.0, 2.828427125}};

TEST(ExposureArithmetic, AgreesWithThePublishedStops) {
  for (const Row& row : kStops) {
    EXPECT_NEAR(time_after(10.0, row.stops), row.next_time_from_10_s, 1e-7) << row.stops;
    EXPECT_NEAR(aperture_after(8.0, row.stops), row.next_f_number_from_f8, 1e-7) << row.stops;
  }
}

// Source: Practical Photography (course books, early 1900s), lens chapter, par. 794-797: printed factors.
TEST(ExposureArithmetic, CameraExtensionAgreesWithThePrintedTable) {
  constexpr double kRows[][2] = {{1.0 / 30, 1.07}, {0.1, 1.21},  {1.0 / 6, 1.36}, {0.25, 1.56},
                                 {0.5, 2.25},      {0.75, 3.06}, {1.0, 4.0},      {3.0, 16.0}};
  for (const auto& row : kRows) EXPECT_NEAR(extension_factor(row[0]), row[1], 0.01) << row[0];
  // "combined" case of the same reference: 4 s, scale 1/4, one stop less light.
  EXPECT_NEAR(time_after(4.0 * extension_factor(0.25), 1.0), 12.5, 1e-12);
}

// Handbook, numbers.csv: "2*log2(v/f)": m = 1: 2.00; 0.5: 1.17; 0.25: 0.64; 0.1: 0.28, with v/f = 1 + m.
TEST(ExposureArithmetic, TheDrawInStopsAgreesWithTheHandbook) {
  constexpr double kRows[][2] = {{2.0, 2.00}, {1.5, 1.17}, {1.25, 0.64}, {1.1, 0.28}};
  for (const auto& row : kRows) EXPECT_NEAR(extension_stops(row[0]), row[1], 0.005) << row[0];
}

// Source: reference figures "reciprocity_measured": times of five gelatine emulsions (fit by P. Gainer to
// measurements by H. Bond): the arithmetic from stops to times and back, and that one exponent, taken from
// the first and last time of an emulsion, brings a plate shot at the one time to the other.
TEST(ExposureArithmetic, LongExposuresAgreeWithMeasuredReciprocity) {
  const auto rows = published::csv("reciprocity_measured.csv");
  ASSERT_EQ(rows.size() % 9, 0U);
  ASSERT_GE(rows.size(), 45U);
  for (const auto& row : rows) {
    const auto from_end = [&](std::size_t back) { return std::stod(row[row.size() - back]); };
    const double metered_s = from_end(4);
    const double corrected_s = from_end(3);
    const double stops = from_end(2);
    EXPECT_NEAR(time_after(metered_s, stops) / corrected_s, 1.0, 1e-9) << row[0] << " " << metered_s;
    EXPECT_NEAR(*stops_between({.exposure_s = metered_s}, {.exposure_s = corrected_s}), stops, 1e-9);
    EXPECT_NEAR(std::exp2(-stops), from_end(1), 1e-9);
    // Between 1 s and this time the emulsion loses what Schwarzschild's law loses with the exponent of the
    // two.
    const auto& first = rows[(static_cast<std::size_t>(&row - rows.data()) / 9) * 9];
    const double start_s = std::stod(first[first.size() - 3]);
    const double metered_stops = std::log2(metered_s / 1.0);
    if (metered_stops == 0.0) continue;
    const double p = metered_stops / std::log2(corrected_s / start_s);
    EXPECT_LT(p, 1.0);
    EXPECT_NEAR(time_after(start_s, metered_stops, p) / corrected_s, 1.0, 1e-9);
  }
}

// Source: Abney 1911, Encyclopaedia Britannica vol. 21 p. 500: at a 64th of the light and 64 times the time
// half the work was done; exponent 1 - ln 2 / ln 64 = 0.83 (handbook, numbers.csv).
TEST(ExposureArithmetic, SchwarzschildsLawGivesAbneysHalf) {
  const double p = 1.0 - std::log(2.0) / std::log(64.0);
  EXPECT_NEAR(p, 0.83, 0.005);
  const auto stops =
      stops_between({.exposure_s = 1.0, .schwarzschild_p = p}, {.exposure_s = 64.0, .schwarzschild_p = p});
  EXPECT_NEAR(*stops - 6.0, -1.0, 1e-12);
  EXPECT_NEAR(time_after(10.0, 1.0, 0.5), 40.0, 1e-12);
  EXPECT_NEAR(time_after(10.0, 1.3, 1.0), time_after(10.0, 1.3), 1e-12);
}

TEST(ExposureArithmetic, StopsBetweenPlatesHoldTimeApertureAndDraw) {
  const PlateSettings near{.exposure_s = 8.0, .aperture = 4.0, .bellows_ratio = 1.5};
  const PlateSettings far{.exposure_s = 4.0, .aperture = 4.0, .bellows_ratio = 1.0};
  EXPECT_NEAR(*stops_between(far, near), 1.0 - 2.0 * std::log2(1.5), 1e-12);
  EXPECT_NEAR(*stops_between(far, near), -*stops_between(near, far), 1e-12);
  EXPECT_FALSE(stops_between(far, {.exposure_s = 8.0, .aperture = 4.0}));
  EXPECT_FALSE(stops_between(far, {.aperture = 4.0, .bellows_ratio = 1.0}));
}

// Source: aperture_thirds.csv (markings common practice, ISO 517 for whole stops; from memory).
TEST(ExposureArithmetic, FindsTheEngravedMarking) {
  constexpr double kExactAndMarking[][2] = {{1.41421356, 1.4}, {3.56359487, 3.5}, {5.65685425, 5.6},
                                            {6.34960421, 6.3}, {11.3137085, 11},  {20.158737, 20},
                                            {22.627417, 22},   {32.0, 32}};
  for (const auto& row : kExactAndMarking) EXPECT_DOUBLE_EQ(nearest_marking(row[0]), row[1]);
}

// Handbook, process.md section 6: "treat as 1.0 to 10 s, +1/3 stop at 30 s, +2/3 at 2 min" (common practice).
TEST(ExposureArithmetic, LongExposuresAreWorthLess) {
  EXPECT_DOUBLE_EQ(reciprocity_loss_stops(9.0), 0.0);
  EXPECT_NEAR(reciprocity_loss_stops(30.0), 1.0 / 3.0, 1e-12);
  EXPECT_NEAR(reciprocity_loss_stops(120.0), 2.0 / 3.0, 1e-12);
  for (double t = 1.0; t < 300.0; t *= 1.3) {
    EXPECT_GE(reciprocity_loss_stops(1.3 * t), reciprocity_loss_stops(t));
  }
}

TEST(HandTimes, AreOnesAHandCanDo) {
  constexpr double kExactAndHand[][2] = {
      {2.13, 2.0},  {2.3, 2.5},   {1.05, 1.0}, {7.94, 8.0}, {12.6, 13.0},  {31.2, 32.0}, {61.0, 60.0},
      {93.0, 95.0}, {0.26, 0.25}, {0.7, 0.5},  {0.75, 1.0}, {0.13, 0.125}, {3.9, 4.0}};
  for (const auto& row : kExactAndHand) EXPECT_DOUBLE_EQ(hand_exposure_s(row[0]), row[1]) << row[0];
  EXPECT_DOUBLE_EQ(hand_development_s(17.6), 18.0);
  EXPECT_DOUBLE_EQ(hand_development_s(0.4), 2.0);
}

TEST(HandTimes, AreNearAndNeverRunBackwards) {
  double last = 0.0;
  for (double exact = 1.25; exact < 400.0; exact *= 1.01) {
    const double hand = hand_exposure_s(exact);
    EXPECT_LE(std::abs(std::log2(hand / exact)), 0.2 + 0.07) << exact;
    EXPECT_GE(hand, last) << exact;
    EXPECT_DOUBLE_EQ(hand_exposure_s(hand), hand) << exact;
    last = hand;
  }
}

}  // namespace
}  // namespace platewise
