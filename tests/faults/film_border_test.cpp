// What the border of missing film says: corners that were cut off a plate show the ground beside it, a pour
// ends in one wide bow, torn film in many small ones.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "faults/drawn_film.h"

namespace platewise {
namespace {

// Takes the film off within `legs_mm` of the corners, along straight lines at 45 degrees.
DrawnFilm without_corners(const std::vector<double>& legs_mm) {
  DrawnFilm film = drawn_film(5);
  cv::Mat gone = cv::Mat::zeros(film.regions.film.inside.size(), CV_8UC1);
  const int right = gone.cols - 1;
  const int bottom = gone.rows - 1;
  const cv::Point corners[] = {{0, 0}, {right, 0}, {right, bottom}, {0, bottom}};
  for (std::size_t i = 0; i < legs_mm.size(); ++i) {
    const int leg = static_cast<int>(legs_mm[i] * DrawnFilm::kPxPerMm);
    const int x = corners[i].x == 0 ? leg : -leg;
    const int y = corners[i].y == 0 ? leg : -leg;
    const std::vector<cv::Point> triangle{corners[i], corners[i] + cv::Point(x, 0),
                                          corners[i] + cv::Point(0, y)};
    cv::fillConvexPoly(gone, triangle, cv::Scalar(255));
  }
  take_film_off(film, gone);
  return film;
}

TEST(CutCorners, AreThePlatesShape) {
  EXPECT_EQ(count_of(without_corners({9.0, 9.0, 9.0, 9.0}).faults(), "uncovered_corner"), 0);
}

TEST(CutCorners, OneAloneIsBare) {
  EXPECT_EQ(count_of(without_corners({9.0}).faults(), "uncovered_corner"), 1);
}

// A plate is cut alike; film ends where it happens to.
TEST(CutCorners, OfDifferentSizesAreBare) {
  EXPECT_EQ(count_of(without_corners({18.0, 11.0, 6.0}).faults(), "uncovered_corner"), 3);
}

// Takes the film off along the middle of the left side, as deep as `depth_mm` says at each height.
template <typename Depth>
DrawnFilm without_left_side(Depth depth_mm) {
  DrawnFilm film = drawn_film(6);
  cv::Mat gone = cv::Mat::zeros(film.regions.film.inside.size(), CV_8UC1);
  for (int y = gone.rows / 4; y < gone.rows * 3 / 4; ++y) {
    const double share = (y - gone.rows / 4.0) / (gone.rows / 2.0);
    const int depth = static_cast<int>(depth_mm(share) * DrawnFilm::kPxPerMm);
    if (depth > 0) gone.row(y).colRange(0, depth).setTo(255);
  }
  take_film_off(film, gone);
  return film;
}

// The pour did not reach a side (handbook, faults.csv: uncovered_corner, "or a side the pool never reached"),
// 2-30 mm; where it only ends a little short, nothing is said.
TEST(FilmBorder, OneWideBowIsAMissedSideIfDeepAndNoFaultIfShallow) {
  for (const double depth_mm : {9.0, 3.0}) {
    const auto bow = [&](double share) { return depth_mm * std::sin(3.14159 * share); };
    EXPECT_EQ(count_of(without_left_side(bow).faults(), "frilling"), 0) << depth_mm;
    EXPECT_EQ(count_of(without_left_side(bow).faults(), "uncovered_corner"), depth_mm > 5.0 ? 1 : 0)
        << depth_mm;
  }
}

TEST(FilmBorder, ManySmallBowsAreTornFilm) {
  const auto scallops = [](double share) { return 6.0 + 2.0 * std::abs(std::sin(3.14159 * 12.0 * share)); };
  EXPECT_EQ(count_of(without_left_side(scallops).faults(), "frilling"), 1);
  EXPECT_EQ(count_of(without_left_side(scallops).faults(), "uncovered_corner"), 0);
}

TEST(FilmBorder, ASlowlySwingingSideIsNoFault) {
  const auto swing = [](double share) { return 2.0 + 1.0 * std::sin(3.14159 * 4.0 * share); };
  EXPECT_EQ(count_of(without_left_side(swing).faults(), "frilling"), 0);
  EXPECT_EQ(count_of(without_left_side(swing).faults(), "uncovered_corner"), 0);
}

TEST(FilmBorder, SteepBaysOfFilmAreTornToo) {
  const auto bays = [](double share) {
    const double bow = 0.7 + 0.3 * std::sin(3.14159 * share);
    return bow * (3.0 + 7.0 * std::abs(std::sin(3.14159 * 4.0 * share)));
  };
  EXPECT_EQ(count_of(without_left_side(bays).faults(), "frilling"), 1);
}

}  // namespace
}  // namespace platewise
