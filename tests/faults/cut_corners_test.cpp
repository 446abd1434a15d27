// Corners that were cut off a plate show the ground beside it, which looks like bare support.
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>
#include <vector>

#include "faults/drawn_film.h"

namespace platewise {
namespace {

// Takes the film off within `legs_mm` of the corners, along straight lines at 45 degrees.
DrawnFilm without_corners(const std::vector<double>& legs_mm) {
  DrawnFilm film = drawn_film(5);
  cv::Mat& inside = film.regions.film.inside;
  const int right = inside.cols - 1;
  const int bottom = inside.rows - 1;
  const cv::Point corners[] = {{0, 0}, {right, 0}, {right, bottom}, {0, bottom}};
  for (std::size_t i = 0; i < legs_mm.size(); ++i) {
    const int leg = static_cast<int>(legs_mm[i] * DrawnFilm::kPxPerMm);
    const int x = corners[i].x == 0 ? leg : -leg;
    const int y = corners[i].y == 0 ? leg : -leg;
    const std::vector<cv::Point> triangle{corners[i], corners[i] + cv::Point(x, 0),
                                          corners[i] + cv::Point(0, y)};
    cv::fillConvexPoly(inside, triangle, cv::Scalar(0));
    cv::fillConvexPoly(film.regions.bare.inside, triangle, cv::Scalar(255));
  }
  return film;
}

TEST(CutCorners, AreThePlatesShape) {
  EXPECT_EQ(count_of(without_corners({9.0, 9.0, 9.0, 9.0}).faults(), "uncovered_corner"), 0);
}

TEST(CutCorners, OneAloneIsBare) {
  EXPECT_EQ(count_of(without_corners({9.0}).faults(), "uncovered_corner"), 1);
}

}  // namespace
}  // namespace platewise
