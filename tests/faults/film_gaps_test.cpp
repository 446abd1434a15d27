// Holes in the film inside the picture: what tells them from the dark things of a scene.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "faults/drawn_film.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

constexpr double kSupport = 1.25;  // the rim has no fog: it is as dark as bare support

// A picture of soft grey cards in a rim as soft, so that it is known how hard the lens draws.
DrawnFilm cards(std::uint64_t seed) {
  DrawnFilm film = drawn_film(seed);
  constexpr double kSoftPx = 1.6;
  constexpr double kGrain = 0.01;
  const double k = DrawnFilm::kPxPerMm;
  cv::Mat& density = film.plate.image.density;
  for (int y = 0; y < 3; ++y)
    for (int x = 0; x < 3; ++x)
      cv::rectangle(density, cv::Rect2d((8 + 12 * x) * k, (8 + 9 * y) * k, 6 * k, 5 * k),
                    cv::Scalar(0.7 - 0.05 * x), cv::FILLED);
  cv::GaussianBlur(density, density, {}, kSoftPx);
  Random random(seed + 1000);
  for (auto value = density.begin<float>(); value != density.end<float>(); ++value)
    *value += static_cast<float>(random.normal(0.0, kGrain));
  return film;
}

// As dark as the support, bounded by many small bows.
cv::Mat lace(const DrawnFilm& film, cv::Point2d middle_mm, double radius_mm) {
  const double k = DrawnFilm::kPxPerMm;
  std::vector<cv::Point> outline;
  for (int i = 0; i < 720; ++i) {
    const double angle = std::numbers::pi * i / 360.0;
    const double r = radius_mm * (1.0 + 0.25 * std::sin(7.0 * angle) + 0.06 * std::sin(15.0 * angle + 1.0));
    outline.emplace_back(static_cast<int>((middle_mm.x + r * std::cos(angle)) * k),
                         static_cast<int>((middle_mm.y + r * std::sin(angle)) * k));
  }
  cv::Mat inside = cv::Mat::zeros(film.plate.image.density.size(), CV_8UC1);
  cv::fillPoly(inside, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255));
  return inside;
}

// Lays something dark over the picture, `soft_px` soft, without grain.
void darken(DrawnFilm& film, const cv::Mat& inside, double soft_px) {
  cv::Mat share;
  inside.convertTo(share, CV_32F, 1.0 / 255.0);
  if (soft_px > 0.0) cv::GaussianBlur(share, share, {}, soft_px);
  cv::Mat& density = film.plate.image.density;
  cv::Mat darkened = density.mul(1.0 - share) + kSupport * share;
  darkened.copyTo(density);
}

TEST(FilmGaps, CleanPicturesHaveNone) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed)
    EXPECT_EQ(count_of(cards(seed).faults(), "tear_hole"), 0) << seed;
}

TEST(FilmGaps, AHoleAsDarkAsTheRimIsFound) {
  for (std::uint64_t seed = 11; seed <= 14; ++seed) {
    DrawnFilm film = cards(seed);
    darken(film, lace(film, {25.0, 47.0}, 4.5), 0.4);
    EXPECT_EQ(count_of(film.faults(), "tear_hole"), 1) << seed;
  }
}

TEST(FilmGaps, WhatHasItsLikeInThePictureIsNoHole) {
  DrawnFilm film = cards(21);
  for (const cv::Point2d at : {cv::Point2d{10.0, 47.0}, {19.5, 47.0}, {29.0, 47.0}, {38.5, 47.0}})
    darken(film, lace(film, at, 3.0), 0.4);
  EXPECT_EQ(count_of(film.faults(), "tear_hole"), 0);
}

TEST(FilmGaps, ASoftDarkThingIsNoHole) {
  DrawnFilm film = cards(22);
  darken(film, lace(film, {25.0, 47.0}, 4.5), 3.0);
  EXPECT_EQ(count_of(film.faults(), "tear_hole"), 0);
}

// Whichever way up the plate lies.
TEST(FilmGaps, AHoleStaysAHoleWhenThePlateIsMirrored) {
  for (const int axis : {0, 1, -1}) {
    DrawnFilm film = cards(31);
    darken(film, lace(film, {25.0, 47.0}, 4.5), 0.4);
    cv::flip(film.plate.image.density.clone(), film.plate.image.density, axis);
    EXPECT_EQ(count_of(film.faults(), "tear_hole"), 1) << axis;
  }
}

}  // namespace
}  // namespace platewise
