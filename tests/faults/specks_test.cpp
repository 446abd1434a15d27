#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "../../src/faults/lens_spots.h"
#include "../../src/faults/picture_spots.h"
#include "drawn_film.h"

namespace platewise {
namespace {

cv::Mat drawn_disc(double radius_px, double sigma_px, cv::Point2d off_px) {
  constexpr int kFine = 8;
  constexpr int kSide = 61;
  cv::Mat fine(kSide * kFine, kSide * kFine, CV_32FC1);
  const double middle = (fine.rows - 1) / 2.0;
  for (int y = 0; y < fine.rows; ++y)
    for (int x = 0; x < fine.cols; ++x)
      fine.at<float>(y, x) = static_cast<float>(std::clamp(
          0.5 + radius_px * kFine - std::hypot(x - middle - off_px.x * kFine, y - middle - off_px.y * kFine),
          0.0, 1.0));
  if (sigma_px > 0) cv::GaussianBlur(fine, fine, {}, sigma_px * kFine);
  cv::Mat disc;
  cv::resize(fine, disc, {kSide, kSide}, 0, 0, cv::INTER_AREA);
  return disc;
}

double steeper_by(const LensSpots& lens, double radius_px, double sigma_px, cv::Point2d off_px) {
  const auto blob = blob_at(drawn_disc(radius_px, sigma_px, off_px), {30, 30}, radius_px, 1);
  return blob ? lens.steeper_by(*blob) : 0.0;
}

TEST(Specks, ASpotOnTheFilmIsSharperThanTheLensDrawsAndALensDrawnOneIsNot) {
  constexpr double kSoftness = 1.3;  // as sharpest_px gives it, Sobel's own 0.65 in it
  const double sigma = std::sqrt(kSoftness * kSoftness - 0.65 * 0.65);
  const LensSpots lens(kSoftness);
  // A spot whose middle is exactly a pixel's may look sharper by up to three sigma: judged over several
  // places.
  const std::vector<cv::Point2d> offs{{0, 0}, {0.3, 0.1}, {-0.4, 0.45}, {0.2, -0.2}};
  for (const double radius : {1.0, 2.0, 4.0}) {
    double of_lens = 0.0;
    double of_film = 0.0;
    for (const cv::Point2d off : offs) {
      of_lens += steeper_by(lens, radius, sigma, off) / static_cast<double>(offs.size());
      of_film += steeper_by(lens, radius, 0.3, off) / static_cast<double>(offs.size());
    }
    EXPECT_LT(of_lens, 1.2) << radius;
    EXPECT_GT(of_film, 1.5) << radius;
  }
}

constexpr double kAreaMm2 = 100.0 * 100.0;

// Two hundred soft spots, evenly over the plate.
std::vector<SpotLook> evenly_spread() {
  std::vector<SpotLook> spots;
  for (int i = 0; i < 200; ++i) spots.push_back({{7.0 * (i % 14), 7.0 * (i / 14)}, 20.0, -3.0});
  return spots;
}

TEST(Specks, ManySoftSpotsMakeASpotOfTheirEvennessThePicturesOwn) {
  const SpotLook sharp{{50.0, 50.0}, 20.0, 1.0};
  const PictureSpots alone({sharp}, kAreaMm2);
  EXPECT_LT(alone.log10_expected(sharp), -2.0);
  std::vector<SpotLook> many = evenly_spread();
  many.push_back(sharp);
  EXPECT_GT(PictureSpots(many, kAreaMm2).log10_expected(sharp), 0.0);
  EXPECT_LT(alone.log10_expected({sharp.at_units, 20.0, 3.0}), alone.log10_expected(sharp));
  EXPECT_LT(alone.log10_expected({sharp.at_units, 40.0, 1.0}), alone.log10_expected(sharp));
}

TEST(Specks, ASpotAmongManyIsMoreLikelyThePicturesOwn) {
  std::vector<SpotLook> spots = evenly_spread();
  for (int i = 0; i < 40; ++i) spots.push_back({{20.0 + 0.5 * (i % 7), 20.0 + 0.5 * (i / 7)}, 20.0, -3.0});
  const PictureSpots picture(spots, kAreaMm2);
  EXPECT_GT(picture.log10_expected({{21.2, 21.2}, 20.0, 1.0}),
            picture.log10_expected({{70.3, 70.3}, 20.0, 1.0}) + 0.5);
}

// Under a lens as sharp as the scanner half of the marks look softer than the sharpest edges, some by a sigma
// and more: those are no evidence that the picture has such spots.
TEST(Specks, MarksAsSoftAsTheLensDrawsDoNotHideEachOther) {
  std::vector<SpotLook> marks;
  for (int i = 0; i < 49; ++i) marks.push_back({{14.0 * (i % 7), 14.0 * (i / 7)}, 60.0, 0.4 * (i % 5) - 1.4});
  const PictureSpots picture(marks, kAreaMm2);
  EXPECT_LT(picture.log10_expected({{21.0, 21.0}, 60.0, 0.2}), -2.0);
}

// A sky with specks above a thicket: what is crowded below must not hide what lies on the even ground.
TEST(Specks, AThicketDoesNotHideSpecksOfTheSkyAboveIt) {
  DrawnFilm film = drawn_film(32);
  lighten(film, [](double x, double y) {
    if (y < 31.0) return 0.0;
    return 0.25 * (std::sin(9.0 * x + 4.0 * std::sin(7.0 * y)) + std::sin(8.0 * y + 5.0 * std::sin(6.0 * x)));
  });
  std::vector<cv::Point2d> specks;
  for (int i = 0; i < 12; ++i) specks.push_back({8.0 + 3.1 * i, 27.0 + 0.2 * (i % 4)});
  lighten(film, [&](double x, double y) {
    return std::ranges::any_of(specks, [&](cv::Point2d s) { return std::hypot(x - s.x, y - s.y) < 0.25; })
               ? -0.4
               : 0.0;
  });
  const Faults faults = film.faults();
  EXPECT_GE(count_of(faults, "pinhole") + count_of(faults, "dust_speck"), 10);
}

// Lights without grain in an 8-bit scan: one code value, but for a pixel here and there that fell into the
// next.
TEST(Specks, ALoneCodeValueOnAnEvenGroundIsNoSpeck) {
  DrawnFilm film = drawn_film(33);
  constexpr float kCodeValue = 0.006F;  // density, at a reflectance of a half
  cv::Mat& density = film.plate.image.density;
  constexpr int kBorder = static_cast<int>((DrawnFilm::kRimMm + 1.0) * DrawnFilm::kPxPerMm);
  for (int y = kBorder; y < density.rows - kBorder; ++y)
    for (int x = kBorder; x < density.cols - kBorder; ++x)
      density.at<float>(y, x) = (13 * x + 29 * y + x * y) % 997 == 0 ? 0.4F - kCodeValue : 0.4F;
  const Faults faults = film.faults();
  EXPECT_EQ(count_of(faults, "pinhole") + count_of(faults, "dust_speck"), 0);
}

TEST(Specks, SpotsThatTheLensDrewAreLeftToThePicture) {
  DrawnFilm film = drawn_film(31);
  for (int i = 0; i < 60; ++i) {
    const double cx = 8.0 + 4.0 * (i % 9);
    const int row = i / 9;
    const double cy = 9.0 + 5.0 * row;
    lighten(film, [&](double x, double y) {
      return 0.25 * std::exp(-0.5 * (std::pow(x - cx, 2.0) + std::pow(y - cy, 2.0)) / std::pow(0.15, 2.0));
    });
  }
  EXPECT_LE(count_of(film.faults(), "dust_speck"), 1);
}

}  // namespace
}  // namespace platewise
