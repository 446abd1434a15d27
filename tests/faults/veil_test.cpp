#include <gtest/gtest.h>

#include <algorithm>

#include "drawn_film.h"

namespace platewise {
namespace {

// The drawn film with a bare corner of 8 x 8 mm, `fog` darker than the rim's film.
DrawnFilm with_bare_corner(std::uint64_t seed, double fog) {
  DrawnFilm film = drawn_film(seed);
  const int side = static_cast<int>(8 * DrawnFilm::kPxPerMm);
  const cv::Rect corner(0, 0, side, side);
  film.regions.film.inside = film.regions.film.inside.clone();
  film.regions.bare.inside = cv::Mat::zeros(film.regions.film.inside.size(), CV_8UC1);
  film.regions.bare.inside(corner).setTo(255);
  for (Mask* mask : {&film.regions.film, &film.regions.rim, &film.regions.picture})
    mask->inside(corner).setTo(0);
  film.plate.image.density(corner).setTo(1.25 + fog);
  film.plate.errors.covariance(1, 1) = 0.05 * 0.05;  // an uncalibrated scanner's slope
  return film;
}

TEST(Veil, AFoggedRimOverBareSupportIsAVeilOfTheWholePlate) {
  const Faults faults = with_bare_corner(1, 0.30).faults();
  ASSERT_EQ(count_of(faults, "veil"), 1);
  const auto veil =
      std::find_if(faults.found.begin(), faults.found.end(), [](const Fault& f) { return f.id == "veil"; });
  EXPECT_NEAR(veil->area, DrawnFilm::kWidthMm * DrawnFilm::kHeightMm, 1.0);
  EXPECT_LT(*veil->log10_nfa, -3.0);
  EXPECT_FALSE(veil->likely_causes.empty());
}

TEST(Veil, TheFogOfARightPlateIsNone) {
  for (const double fog : {0.0, 0.06, 0.12, 0.16})
    EXPECT_EQ(count_of(with_bare_corner(2, fog).faults(), "veil"), 0) << fog;
}

TEST(Veil, WithoutBareSupportNothingIsSaid) {
  DrawnFilm film = with_bare_corner(3, 0.30);
  film.regions.bare.inside.setTo(0);
  EXPECT_EQ(count_of(film.faults(), "veil"), 0);
}

TEST(Veil, ShadowsClearerThanTheRimContradictIt) {
  DrawnFilm film = with_bare_corner(4, 0.30);
  lighten(film, [](double x, double y) { return x > 20 && x < 32 && y > 20 && y < 32 ? -0.5 : 0.0; });
  EXPECT_EQ(count_of(film.faults(), "veil"), 0);
}

}  // namespace
}  // namespace platewise
