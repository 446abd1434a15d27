#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "drawn_film.h"

namespace platewise {
namespace {

// A plume from the left side at 30 mm, turned by `turn_deg` against the inward normal (counter-clockwise on
// the screen), hard on its upper side.
void draw_leak(DrawnFilm& film, double turn_deg, double strength) {
  const double turn = -turn_deg * std::numbers::pi / 180.0;
  lighten(film, [&](double x, double y) {
    const double along = x * std::cos(turn) + (y - 30.0) * std::sin(turn);
    const double across = -x * std::sin(turn) + (y - 30.0) * std::cos(turn);
    const double side = across < 0 ? std::exp(-8.0 * across * across) : std::exp(-across / 3.0);
    return strength * side * std::exp(-along / 15.0);
  });
}

TEST(LightLeak, APlumeWithOneHardSideIsFoundAndPointsInward) {
  for (const double turn_deg : {-20.0, 0.0, 20.0}) {
    DrawnFilm film = drawn_film(1);
    draw_leak(film, turn_deg, 0.3);
    const Faults faults = film.faults();
    ASSERT_EQ(count_of(faults, "light_leak"), 1) << turn_deg;
    const auto leak = std::find_if(faults.found.begin(), faults.found.end(),
                                   [](const Fault& fault) { return fault.id == "light_leak"; });
    ASSERT_TRUE(leak->angle_deg);
    EXPECT_LE(std::abs(std::remainder(*leak->angle_deg - turn_deg, 360.0)), 10.0);
    EXPECT_LE(leak->box_origin.x, 1.0);  // starts at the edge
    EXPECT_LT(*leak->log10_nfa, -6.0);
  }
}

TEST(LightLeak, NothingOfThePictureAtItsEdgeIsALeak) {
  DrawnFilm film = drawn_film(2);
  const auto in_picture = [](double x, double y) { return x > 5 && x < 45 && y > 5 && y < 57; };
  lighten(film,
          [&](double x, double y) { return in_picture(x, y) && x < 15 && y > 20 && y < 30 ? 0.6 : 0.0; });
  lighten(film, [&](double x, double y) {
    return in_picture(x, y) && y > 40 ? 0.3 * std::exp((40 - y) / 6) : 0.0;
  });
  EXPECT_EQ(count_of(film.faults(), "light_leak"), 0);
}

TEST(LightLeak, AStainThatIsSoftOrHardOnBothSidesIsNoLeak) {
  for (const double softness : {0.1, 4.0}) {
    DrawnFilm film = drawn_film(3);
    lighten(film, [&](double x, double y) {
      return x < 8 ? 0.2 / (1.0 + std::exp((std::abs(y - 30) - 6.0) / softness)) : 0.0;
    });
    EXPECT_EQ(count_of(film.faults(), "light_leak"), 0) << softness;
  }
}

TEST(LightLeak, AnEvenBandAlongTheEdgeIsNoLeak) {
  DrawnFilm film = drawn_film(5);
  lighten(film, [](double x, double y) { return x < 8 && y > 20 && y < 40 ? 0.2 : 0.0; });
  EXPECT_EQ(count_of(film.faults(), "light_leak"), 0);
}

TEST(LightLeak, ASlowSlopeOfTheRimAndBareSupportInItAreNoLeak) {
  DrawnFilm film = drawn_film(6);
  lighten(film, [](double x, double y) { return 0.002 * x + 0.003 * y; });
  EXPECT_EQ(count_of(film.faults(), "light_leak"), 0);
  DrawnFilm bare = drawn_film(7);
  lighten(bare, [](double x, double y) { return x < 5 && (y < 18 || y > 34) ? -0.1 : 0.0; });
  EXPECT_EQ(count_of(bare.faults(), "light_leak"), 0);
}

TEST(LightLeak, WithoutARimAWindowAtTheEdgeIsNoLeak) {
  DrawnFilm film = drawn_film(4, false);
  lighten(film, [](double x, double y) { return x < 12 && y > 20 && y < 34 ? 0.5 : 0.0; });
  EXPECT_EQ(count_of(film.faults(), "light_leak"), 0);
}

}  // namespace
}  // namespace platewise
