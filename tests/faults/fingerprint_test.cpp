#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <vector>

#include "drawn_film.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

// Crests where `phase` is a whole number, over an oval of 16 x 12 mm in the middle of the plate.
void draw_print(DrawnFilm& film, double depth, const std::function<double(double, double)>& phase) {
  lighten(film, [&](double x, double y) {
    const double u = x - 25.0;
    const double v = y - 31.0;
    const double touch = std::clamp(4.0 * (1.0 - std::hypot(u / 8.0, v / 6.0)), 0.0, 1.0);
    return depth * touch * (0.5 + 0.5 * std::cos(2.0 * std::numbers::pi * phase(u, v)));
  });
}

constexpr double kPitch_mm = 0.55;

// A whorl turns round a point, an arch bows over the finger, a loop turns back at one side.
double whorl(double u, double v) {
  return std::hypot(1.2 * (u + 0.8), v - 0.5) / kPitch_mm;
}
double arch(double u, double v) {
  return (v + 0.07 * u * u) / kPitch_mm;
}
double loop(double u, double v) {
  return (u < 0 ? std::abs(v) : std::hypot(u, v)) / kPitch_mm;
}

struct Pattern {
  const char* name;
  double (*phase)(double, double);
};

class Fingerprint : public testing::TestWithParam<Pattern> {};

TEST_P(Fingerprint, IsFoundWhereItIs) {
  for (const double depth : {0.03, -0.1}) {
    DrawnFilm film = drawn_film(5);
    draw_print(film, depth, GetParam().phase);
    const Faults faults = film.faults();
    ASSERT_EQ(count_of(faults, "fingerprint"), 1) << depth;
    const auto print = std::find_if(faults.found.begin(), faults.found.end(),
                                    [](const Fault& fault) { return fault.id == "fingerprint"; });
    EXPECT_NEAR(print->box_origin.x + 0.5 * print->box_width, 25.0, 2.5);
    EXPECT_NEAR(print->box_origin.y + 0.5 * print->box_height, 31.0, 2.5);
    EXPECT_GE(print->length.value(), 6.0);
    EXPECT_LE(print->length.value(), 18.0);
  }
}

INSTANTIATE_TEST_SUITE_P(Patterns, Fingerprint,
                         testing::Values(Pattern{"whorl", whorl}, Pattern{"arch", arch},
                                         Pattern{"loop", loop}),
                         [](const auto& row) { return std::string(row.param.name); });

TEST(NoFingerprint, GrainAloneShowsNone) {
  for (std::uint64_t seed = 1; seed <= 12; ++seed)
    EXPECT_EQ(count_of(drawn_film(seed).faults(), "fingerprint"), 0) << seed;
}

// As fine and as even, but straight, as cloth and railings are.
TEST(NoFingerprint, ClothRunsStraight) {
  for (const double turn : {0.0, 0.6}) {
    DrawnFilm film = drawn_film(6);
    draw_print(film, 0.1,
               [&](double u, double v) { return (u * std::sin(turn) + v * std::cos(turn)) / kPitch_mm; });
    EXPECT_EQ(count_of(film.faults(), "fingerprint"), 0) << turn;
  }
}

// A tuft of combed hair or a fork of branches: even lines that bend a little over a few millimetres.
TEST(NoFingerprint, ASmallPlaceHardlyBends) {
  DrawnFilm film = drawn_film(8);
  lighten(film, [&](double x, double y) {
    const double u = x - 25.0;
    const double v = y - 31.0;
    const double inside = std::clamp(4.0 * (1.0 - std::hypot(u / 4.0, v / 3.5)), 0.0, 1.0);
    return 0.1 * inside * (0.5 + 0.5 * std::cos(2.0 * std::numbers::pi * (v + 0.06 * u * u) / kPitch_mm));
  });
  EXPECT_EQ(count_of(film.faults(), "fingerprint"), 0);
}

// As fine and as bent, but the strands come at any distance.
TEST(NoFingerprint, HairIsUneven) {
  DrawnFilm film = drawn_film(7);
  Random random(3);
  std::vector<double> strands(400);
  for (double& strand : strands) strand = random.uniform(0.0, 1.0);
  lighten(film, [&](double x, double y) {
    const double from = std::hypot(x - 25.0, y - 60.0);
    if (from < 20.0 || from > 38.0) return 0.0;
    return 0.15 * strands[static_cast<std::size_t>(from / 0.25)];
  });
  EXPECT_EQ(count_of(film.faults(), "fingerprint"), 0);
}

}  // namespace
}  // namespace platewise
