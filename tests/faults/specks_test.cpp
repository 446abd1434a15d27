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
  constexpr double kSoftness = 1.3;  // as picture_softness_px gives it, Sobel's own 0.65 in it
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

TEST(Specks, ManySoftSpotsMakeASpotOfTheirEvennessThePicturesOwn) {
  const SpotLook sharp{20.0, 1.0};
  const PictureSpots alone(std::vector<SpotLook>{sharp});
  EXPECT_LT(alone.log10_expected(sharp), -2.0);
  std::vector<SpotLook> many(200, SpotLook{20.0, -2.0});
  many.push_back(sharp);
  EXPECT_GT(PictureSpots(many).log10_expected(sharp), 0.0);
  EXPECT_LT(alone.log10_expected({20.0, 3.0}), alone.log10_expected(sharp));
  EXPECT_LT(alone.log10_expected({40.0, 1.0}), alone.log10_expected(sharp));
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
