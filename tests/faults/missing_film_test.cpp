// Missing film by its looks and its place: scenes with a drawn fault, clean ones, and ones full of lines.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "faults/drawn_film.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

constexpr double kRim = 1.25;      // density of the unexposed film
constexpr double kSupport = 1.33;  // darker by its fog
constexpr double kLensPx = 1.6;

void add_grain(cv::Mat& density, std::uint64_t seed) {
  constexpr double kGrain = 0.004;
  Random random(seed + 1000);
  for (auto value = density.begin<float>(); value != density.end<float>(); ++value)
    *value += static_cast<float>(random.normal(0.0, kGrain));
}

// A plain picture in a rim, both as soft as the lens draws.
DrawnFilm plain(std::uint64_t seed) {
  DrawnFilm film = drawn_film(seed);
  cv::Mat& density = film.plate.image.density;
  density.setTo(cv::Scalar(kRim));
  const double k = DrawnFilm::kPxPerMm;
  constexpr double kInside = DrawnFilm::kRimMm;
  density(cv::Rect(cv::Rect2d(kInside * k, kInside * k, (DrawnFilm::kWidthMm - 2 * kInside) * k,
                              (DrawnFilm::kHeightMm - 2 * kInside) * k)))
      .setTo(0.9);
  return film;
}

// Light and dark cards; the darkest is as dark as the rim.
void cards(cv::Mat& density) {
  const double k = DrawnFilm::kPxPerMm;
  for (int y = 0; y < 3; ++y)
    for (int x = 0; x < 3; ++x)
      cv::rectangle(density, cv::Rect2d((8 + 12 * x) * k, (8 + 9 * y) * k, 6 * k, 5 * k),
                    cv::Scalar(x == 2 && y == 2 ? kRim : 0.7 - 0.05 * x), cv::FILLED);
}

void railings(cv::Mat& density) {
  const double k = DrawnFilm::kPxPerMm;
  for (double x = 7.0; x < 43.0; x += 3.0)
    cv::rectangle(density, cv::Rect2d(x * k, 20 * k, 1.2 * k, 34 * k), cv::Scalar(kRim), cv::FILLED);
  cv::rectangle(density, cv::Rect2d(5 * k, 18 * k, 40 * k, 2 * k), cv::Scalar(kRim), cv::FILLED);
}

using Shape = std::function<bool(double x_mm, double y_mm)>;

void take_off(cv::Mat& density, const Shape& is_missing, double soft_px) {
  const double k = DrawnFilm::kPxPerMm;
  cv::Mat share(density.size(), CV_32FC1);
  for (int y = 0; y < share.rows; ++y)
    for (int x = 0; x < share.cols; ++x)
      share.at<float>(y, x) = is_missing((x + 0.5) / k, (y + 0.5) / k) ? 1.0F : 0.0F;
  cv::GaussianBlur(share, share, {}, soft_px);
  const cv::Mat bare = density.mul(1.0 - share) + kSupport * share;
  bare.copyTo(density);
}

bool spindle(double x, double y) {
  const double along = (x - 22.0) / 7.0;
  return std::abs(y - 45.0) < 2.0 * (1.0 - along * along);
}

bool bite_over_rim(double x, double y) {  // one bow from the left side, over rim and picture
  const double along = (y - 30.0) / 6.0;
  return x < 9.0 * (1.0 - along * along);
}

bool scallops_at_rim(double x, double y) {  // the rim holds
  const double along = (y - 30.0) / 12.0;
  const double depth = (1.0 - along * along) * (4.0 + 2.5 * std::abs(std::sin(1.1 * (y - 18.0))));
  return x > DrawnFilm::kRimMm && x < DrawnFilm::kRimMm + depth;
}

// From the corner far along the top, with a torn border.
bool scallops_from_a_corner(double x, double y) {
  return x < 40.0 && y < (7.0 + 2.5 * std::sin(1.5 * x)) * std::sqrt(1.0 - x * x / 1600.0);
}

bool corner(double x, double y) {
  return x + y < 12.0 - 0.02 * (x - y) * (x - y);
}

struct Scene {
  std::string name;
  std::function<void(cv::Mat&)> picture;
  Shape is_missing;
  double soft_px;
  std::string id;  // empty: nothing is missing
};

class MissingFilm : public testing::TestWithParam<Scene> {};

TEST_P(MissingFilm, IsFoundOnceByItsNameAndNothingElse) {
  const Scene& scene = GetParam();
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    DrawnFilm film = plain(seed);
    cv::Mat& density = film.plate.image.density;
    if (scene.picture) scene.picture(density);
    cv::GaussianBlur(density, density, {}, kLensPx);
    if (scene.is_missing) take_off(density, scene.is_missing, scene.soft_px);
    add_grain(density, seed);
    const Faults faults = film.faults();
    for (const char* id : {"tear_hole", "frilling", "uncovered_corner"})
      EXPECT_EQ(count_of(faults, id), scene.id == id ? 1 : 0) << id << ", seed " << seed;
  }
}

INSTANTIATE_TEST_SUITE_P(
    Scenes, MissingFilm,
    testing::Values(Scene{"CleanPlain", {}, {}, 0.0, ""}, Scene{"CleanCards", cards, {}, 0.0, ""},
                    Scene{"CleanRailings", railings, {}, 0.0, ""},
                    // Hardly an edge that would say what the lens draws.
                    Scene{"HoleInAPlainPicture", {}, spindle, 0.5, "tear_hole"},
                    // As soft as the picture, but darker than the film that got no light.
                    Scene{"HoleAsSoftAsThePicture", cards, spindle, kLensPx, "tear_hole"},
                    Scene{"HoleAmongRailings", railings,
                          [](double x, double y) { return std::hypot(x - 25.0, y - 11.5) < 3.0; }, 0.5,
                          "tear_hole"},
                    Scene{"BowOverRimAndPicture", cards, bite_over_rim, 0.5, "uncovered_corner"},
                    Scene{"ScallopsAtTheRim", cards, scallops_at_rim, 0.5, "frilling"},
                    Scene{"ScallopsFromACorner", cards, scallops_from_a_corner, 0.5, "frilling"},
                    Scene{"BareCorner", cards, corner, 0.5, "uncovered_corner"}),
    [](const testing::TestParamInfo<Scene>& scene) { return scene.param.name; });

// Each hole has its like in the other; four would be the picture's (FilmGaps, WhatHasItsLikeInThePicture...).
TEST(MissingFilmTwice, IsFoundTwice) {
  DrawnFilm film = plain(5);
  cv::Mat& density = film.plate.image.density;
  cards(density);
  cv::GaussianBlur(density, density, {}, kLensPx);
  take_off(
      density, [](double x, double y) { return spindle(x, y) || std::hypot(x - 38.0, y - 44.0) < 3.5; }, 0.5);
  add_grain(density, 5);
  EXPECT_EQ(count_of(film.faults(), "tear_hole"), 2);
}

// The film ends short of the plate all round, and its own edge is as hard as the hole's.
TEST(MissingFilmInsideABareBorder, IsFound) {
  for (std::uint64_t seed = 6; seed <= 8; ++seed) {
    DrawnFilm film = drawn_film(seed, false);
    cv::Mat& density = film.plate.image.density;
    density.setTo(cv::Scalar(0.9));
    cards(density);
    cv::GaussianBlur(density, density, {}, kLensPx);
    const auto beyond_film = [](double x, double y) {
      const double from_edge = std::min({x, y, DrawnFilm::kWidthMm - x, DrawnFilm::kHeightMm - y});
      return from_edge < 1.6 + 0.2 * std::sin(0.4 * (x + y));
    };
    take_off(
        density, [&](double x, double y) { return spindle(x, y) || beyond_film(x, y); }, 0.9);
    add_grain(density, seed);
    EXPECT_EQ(count_of(film.faults(), "tear_hole"), 1) << seed;
  }
}

}  // namespace
}  // namespace platewise
