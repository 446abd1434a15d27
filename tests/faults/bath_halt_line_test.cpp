#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "drawn_film.h"

namespace platewise {
namespace {

// Silver of a scene above its floor: bright and dark things with upright and slanting edges.
double scene(double x, double y) {
  const bool wall = x > 14 && x < 30;
  const bool figure = std::hypot(x - 27, (y - 34) / 1.6) < 9;
  const double clouds = 0.03 * std::sin(x / 1.7 + y / 6.0) + 0.03 * std::sin(y / 3.1 - x / 5.0);
  return (figure ? 0.15 : wall ? 0.35 : 0.55) + clouds;
}

// The share of the scene's silver that a line at `at` mm takes, `half` mm wide to either side.
double taken(double from_line, double half, double share) {
  return share * std::exp(-0.5 * (from_line / half) * (from_line / half));
}

TEST(BathHaltLine, ALineThatTakesTheSameShareAllAcrossIsFound) {
  for (const double share : {0.15, 0.3}) {
    DrawnFilm film = drawn_film(11);
    lighten(film,
            [&](double x, double y) { return scene(x, y) * (1.0 - taken(y - 24.0 - 0.02 * x, 0.6, share)); });
    const Faults faults = film.faults();
    ASSERT_EQ(count_of(faults, "bath_halt_line"), 1) << share;
    const auto line = std::find_if(faults.found.begin(), faults.found.end(),
                                   [](const Fault& fault) { return fault.id == "bath_halt_line"; });
    EXPECT_NEAR(line->box_origin.y + line->box_height / 2.0, 24.5, 1.0);
    EXPECT_GT(line->box_width, 30.0);
    ASSERT_TRUE(line->angle_deg);
    EXPECT_LE(std::abs(std::remainder(*line->angle_deg, 180.0)), 4.0);
    EXPECT_TRUE(std::any_of(faults.warnings.begin(), faults.warnings.end(), [](const std::string& warning) {
      return warning.find("--dip-edge was not given") != std::string::npos;
    }));
  }
}

TEST(BathHaltLine, FollowsTheDipEdgeThatIsGiven) {
  DrawnFilm film = drawn_film(12);
  lighten(film, [&](double x, double y) { return scene(y, x) * (1.0 - taken(x - 24.0, 0.6, 0.3)); });
  EXPECT_EQ(count_of(film.faults(), "bath_halt_line"), 0);
  const Faults faults = film.faults({.handling = {.dip_edge = Edge::left}});
  EXPECT_EQ(count_of(faults, "bath_halt_line"), 1);
  for (const std::string& warning : faults.warnings)
    EXPECT_EQ(warning.find("--dip-edge was not given"), std::string::npos);
}

TEST(BathHaltLine, TheScenesOwnLinesAreNone) {
  struct Scene {
    const char* name;
    double (*silver)(double x, double y);
  };
  const Scene kScenes[] = {
      {"as it is", scene},
      {"a dark rail", [](double x, double y) { return std::abs(y - 24.0) < 0.6 ? 0.03 : scene(x, y); }},
      {"courses of brick",
       [](double x, double y) { return scene(x, y) * (std::fmod(y, 5.0) < 0.7 ? 0.75 : 1.0); }},
      {"a horizon", [](double x, double y) { return y < 24.0 ? 0.6 : 0.5 * scene(x, y); }},
      {"a line over a part",
       [](double x, double y) { return scene(x, y) * (1.0 - (x < 14 ? taken(y - 24.0, 0.6, 0.3) : 0.0)); }}};
  for (const Scene& drawn : kScenes) {
    DrawnFilm film = drawn_film(13);
    lighten(film, drawn.silver);
    EXPECT_EQ(count_of(film.faults(), "bath_halt_line"), 0) << drawn.name;
  }
}

}  // namespace
}  // namespace platewise
