// Ridges of the pour are found by the one direction that they give the tones over a large part of the plate.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "faults/drawn_film.h"

namespace platewise {
namespace {

// Bands along a line `degrees` clockwise from the rows, over a stripe through the middle.
void draw_bands(DrawnFilm& film, double degrees, double period_mm, double depth, double sigma_mm = 10.0) {
  const double angle = degrees * std::numbers::pi / 180.0;
  lighten(film, [=](double x, double y) {
    const double across = (y - 0.5 * DrawnFilm::kHeightMm) * std::cos(angle) -
                          (x - 0.5 * DrawnFilm::kWidthMm) * std::sin(angle);
    const double fade = std::exp(-0.5 * std::pow(across / sigma_mm, 2.0));
    return depth * fade * std::sin(2.0 * std::numbers::pi * across / period_mm + 0.7 * std::sin(across));
  });
}

const double kFalling = std::atan2(DrawnFilm::kHeightMm, DrawnFilm::kWidthMm) * 180.0 / std::numbers::pi;

struct Bands {
  double degrees;
  double period_mm;
  bool ridges;
};

class PourRidges : public testing::TestWithParam<Bands> {};

TEST_P(PourRidges, RunAlongADiagonalOnly) {
  const auto [degrees, period_mm, ridges] = GetParam();
  DrawnFilm film = drawn_film(51);
  draw_bands(film, degrees, period_mm, 0.03);
  const Faults faults = film.faults();
  ASSERT_EQ(count_of(faults, "pour_ridges"), ridges ? 1 : 0);
  if (!ridges) return;
  const auto found = std::ranges::find(faults.found, std::string("pour_ridges"), &Fault::id);
  EXPECT_NEAR(std::remainder(*found->angle_deg - (180.0 - degrees), 180.0), 0.0, 12.0);
  EXPECT_GT(*found->length, 30.0);
}

INSTANTIATE_TEST_SUITE_P(Ways, PourRidges,
                         testing::Values(Bands{kFalling, 1.7, true}, Bands{kFalling + 8.0, 2.5, true},
                                         Bands{180.0 - kFalling, 2.0, true}, Bands{0.0, 1.7, false},
                                         Bands{90.0, 2.5, false}));

TEST(PourRidgesAlone, AreLookedForTowardTheDrainCorner) {
  DrawnFilm film = drawn_film(52);
  draw_bands(film, kFalling, 1.8, 0.03);
  FaultsOptions options;
  options.handling.drain_corner = Corner::bottom_right;
  EXPECT_EQ(count_of(film.faults(options), "pour_ridges"), 1);
  options.handling.drain_corner = Corner::bottom_left;
  EXPECT_EQ(count_of(film.faults(options), "pour_ridges"), 0);
}

// A net leans both ways alike, as roofs and boughs do.
TEST(PourRidgesAlone, ANetIsNone) {
  DrawnFilm film = drawn_film(53);
  constexpr double kEverywhere = 1000.0;
  draw_bands(film, kFalling, 1.8, 0.04, kEverywhere);
  draw_bands(film, 180.0 - kFalling, 1.8, 0.04, kEverywhere);
  EXPECT_EQ(count_of(film.faults(), "pour_ridges"), 0);
}

TEST(PourRidgesAlone, GrainGivesNone) {
  for (const std::uint64_t seed : {61U, 62U, 63U, 64U, 65U, 66U})
    EXPECT_EQ(count_of(drawn_film(seed).faults(), "pour_ridges"), 0) << seed;
}

}  // namespace
}  // namespace platewise
