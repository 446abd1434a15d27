#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "drawn_film.h"

namespace platewise {
namespace {

struct Stroke {
  double x, y, length, angle_deg, bow, width, depth;
};

// Film scraped off along a slightly bent line of full width `width` mm.
void draw_stroke(DrawnFilm& film, const Stroke& stroke) {
  const double angle = stroke.angle_deg * CV_PI / 180.0;
  lighten(film, [&](double x, double y) {
    const double u = (x - stroke.x) * std::cos(angle) - (y - stroke.y) * std::sin(angle);
    const double v = (x - stroke.x) * std::sin(angle) + (y - stroke.y) * std::cos(angle);
    if (u < 0 || u > stroke.length) return 0.0;
    const double along = 2.0 * u / stroke.length - 1.0;
    const double off = v - stroke.bow * (1.0 - along * along);
    return -stroke.depth * std::exp(-0.5 * std::pow(off / (0.5 * stroke.width), 2.0));
  });
}

TEST(Scratch, AThinLineOfScrapedFilmIsFoundWithItsLengthAndAngle) {
  for (const double angle_deg : {10.0, 55.0, 120.0}) {
    DrawnFilm film = drawn_film(11);
    draw_stroke(film, {angle_deg < 90 ? 14.0 : 34.0, 44.0, 26.0, angle_deg, 0.2, 0.25, 0.15});
    const Faults faults = film.faults();
    ASSERT_EQ(count_of(faults, "scratch"), 1) << angle_deg;
    const auto scratch = std::find_if(faults.found.begin(), faults.found.end(),
                                      [](const Fault& fault) { return fault.id == "scratch"; });
    EXPECT_NEAR(scratch->length.value(), 26.0, 3.5);
    EXPECT_LE(std::abs(std::remainder(scratch->angle_deg.value() - angle_deg, 180.0)), 3.0);
    EXPECT_LT(scratch->width.value(), 0.8);
    EXPECT_LT(scratch->log10_nfa.value(), -2.0);
  }
}

TEST(Scratch, TwoDoNotHideEachOther) {
  DrawnFilm film = drawn_film(15);
  draw_stroke(film, {10.0, 40.0, 24.0, 55.0, 0.0, 0.25, 0.2});
  draw_stroke(film, {12.0, 18.0, 18.0, 340.0, 0.1, 0.25, 0.2});
  EXPECT_EQ(count_of(film.faults(), "scratch"), 2);
}

// Both too short for their length alone to tell.
TEST(Scratch, AShortOneIsKnownByItsOneStrokeAndAFoldThatWandersIsNone) {
  constexpr double kLengthMm = 9.5;
  for (const double wander_mm : {0.0, 0.15}) {
    DrawnFilm film = drawn_film(17);
    lighten(film, [&](double x, double y) {
      const double u = (x - 12.0) * std::cos(0.6) + (y - 25.0) * std::sin(0.6);
      const double v = (y - 25.0) * std::cos(0.6) - (x - 12.0) * std::sin(0.6);
      const double off = (v - wander_mm * std::sin(1.1 * u)) / 0.125;
      return u < 0.0 || u > kLengthMm ? 0.0 : -0.2 * std::exp(-0.5 * off * off);
    });
    EXPECT_EQ(count_of(film.faults(), "scratch"), wander_mm > 0.0 ? 0 : 1) << wander_mm;
  }
}

TEST(Scratch, AGapBetweenTwoPicturesIsNone) {
  for (const double angle_deg : {0.0, 90.0}) {
    DrawnFilm film = drawn_film(16, false);
    const bool level = angle_deg == 0.0;
    draw_stroke(film,
                {level ? 2.0 : 24.0, level ? 30.0 : 60.0, level ? 46.0 : 58.0, angle_deg, 0.0, 0.3, 0.5});
    EXPECT_EQ(count_of(film.faults(), "scratch"), 0) << angle_deg;
  }
}

TEST(Scratch, GrainAloneHasNone) {
  int found = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) found += count_of(drawn_film(seed).faults(), "scratch");
  // Bound 0.2 / detectors a plate: 1 of 20 in the mean at most; 4 or more by chance below 0.02 (Poisson).
  EXPECT_LE(found, 3);
}

TEST(Scratch, RailsInCompanyAreThePicturesOwn) {
  DrawnFilm film = drawn_film(12);
  for (int i = 0; i < 5; ++i) draw_stroke(film, {9.0, 20.0 + 4.0 * i, 32.0, 4.0, 0.0, 0.3, 0.2});
  EXPECT_EQ(count_of(film.faults(), "scratch"), 0);
}

TEST(Scratch, AnEdgeOfTonesIsNoLine) {
  DrawnFilm film = drawn_film(13);
  lighten(film, [](double x, double y) { return x + 0.4 * y < 40.0 ? 0.3 : 0.0; });
  EXPECT_EQ(count_of(film.faults(), "scratch"), 0);
}

TEST(Scratch, ABareTreeIsNoScratch) {
  DrawnFilm film = drawn_film(14);
  for (int i = 0; i < 10; ++i) {
    const double at = 50.0 - 3.5 * i;
    draw_stroke(film, {25.0, at, 7.0 + (i * 5) % 6, i % 2 == 0 ? 35.0 : 140.0, 0.3, 0.35, 0.3});
    draw_stroke(film, {25.0, at, 3.5, 90.0 + 8.0 * (i % 3 - 1), 0.0, 0.5, 0.35});
  }
  EXPECT_EQ(count_of(film.faults(), "scratch"), 0);
}

}  // namespace
}  // namespace platewise
