#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "drawn_plate.h"
#include "platewise/regions/find_regions.h"

namespace platewise::test {
namespace {

constexpr double kBelieved = 0.5;

DensityImage as_frame(const cv::Mat& light) {
  cv::Mat density;
  cv::log(light * 0.8 + 0.02, density);
  return {density * (-1.0 / 2.302585), std::max(light.rows, light.cols) / 100.0};
}

TEST(PlateEvidence, IsHighWhereARimIsSeen) {
  for (const std::array<double, 4> rim : {std::array<double, 4>{4, 3, 5, 3.5}, {0, 4, 0, 4}, {5, 0, 0, 4}}) {
    for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
      DrawnPlate plate;
      plate.kind = kind;
      plate.rim = rim;
      plate.long_side_px = 540;
      EXPECT_GT(plate_evidence(draw(plate).plate, kind), kBelieved);
    }
  }
}

TEST(PlateEvidence, IsHighWhereBareCornersAreSeen) {
  DrawnPlate plate;
  plate.rim = {0, 0, 0, 0};
  plate.bare_corner = {12, 0, 8, 0};
  plate.long_side_px = 540;
  EXPECT_GT(plate_evidence(draw(plate).plate, plate.kind), kBelieved);
}

// What a frame shows that was cut beyond the opening on all sides but `left_in` (its rim stays, 4
// hundredths).
DensityImage cut_frame(double corner_radius, Edge left_in, double cut, std::uint64_t seed) {
  DrawnPlate plate;
  plate.rim = {4, 4, 4, 4};
  plate.tilt_deg = 0.0;
  plate.corner_radius = corner_radius;
  plate.long_side_px = 800;
  plate.seed = seed;
  const DensityImage whole = draw(plate).plate;
  const int off = static_cast<int>((4.0 + cut) * 8.0);
  cv::Rect frame(off, off, whole.density.cols - 2 * off, whole.density.rows - 2 * off);
  if (left_in == Edge::top) frame = {frame.x, 0, frame.width, frame.height + off};
  if (left_in == Edge::left) frame = {0, frame.y, frame.width + off, frame.height};
  if (left_in == Edge::bottom) frame.height += off;
  if (left_in == Edge::right) frame.width += off;
  return {whole.density(frame).clone(), whole.px_per_unit};
}

// A strip of rim alone may be a wall or a window; where its border turns into the next side it is a holder's.
TEST(PlateEvidence, IsHighWhereOneRimTurnsIntoTheNextAndLowWhereItDoesNot) {
  int rounded = 0;
  int square = 0;
  int all = 0;
  for (const Edge edge : {Edge::top, Edge::right, Edge::bottom, Edge::left}) {
    for (const double cut : {0.4, 0.8, 1.2}) {
      for (const std::uint64_t seed : {1U, 2U, 3U}) {
        rounded += plate_evidence(cut_frame(5.0, edge, cut, seed), PlateKind::tintype) > kBelieved ? 1 : 0;
        square += plate_evidence(cut_frame(0.0, edge, cut, seed), PlateKind::tintype) > kBelieved ? 1 : 0;
        ++all;
      }
    }
  }
  EXPECT_GE(rounded, 0.75 * all);
  EXPECT_EQ(square, 0);
}

// The scan was cut at the opening: only the rounded corners are left of the rim.
TEST(PlateEvidence, IsHighWhereTwoRoundedCornersAreSeen) {
  int believed = 0;
  int square = 0;
  constexpr int kPlates = 6;
  for (int seed = 1; seed <= kPlates; ++seed) {
    for (const double radius : {0.0, 5.0}) {
      DrawnPlate plate;
      plate.rim = {0.3, 0.3, 0.3, 0.3};
      plate.tilt_deg = 0.0;
      plate.corner_radius = radius;
      plate.seed = static_cast<std::uint64_t>(seed);
      (radius > 0.0 ? believed : square) +=
          plate_evidence(draw(plate).plate, PlateKind::tintype) > kBelieved ? 1 : 0;
    }
  }
  EXPECT_GE(believed, kPlates / 2);
  EXPECT_EQ(square, 0);
}

TEST(PlateEvidence, IsLowOnPicturesWithoutAPlate) {
  int believed = 0;
  constexpr int kPictures = 12;
  for (int picture = 0; picture < kPictures; ++picture) {
    const DensityImage frame = as_frame(drawn_scene(360, 480, static_cast<std::uint64_t>(1000 + picture)));
    believed += plate_evidence(frame, PlateKind::tintype) > kBelieved ? 1 : 0;
    believed += plate_evidence(frame, PlateKind::negative) > kBelieved ? 1 : 0;
  }
  EXPECT_LE(believed, 1);
}

// A poster or screen with black rounded corners has no noise where it is even; nor is support as black.
TEST(PlateEvidence, IsLowOnADrawnPageWithDarkCorners) {
  cv::Mat light = 0.3 + 0.3 * drawn_scene(540, 720, 77);
  for (const cv::Point corner : {cv::Point{0, 0}, {540, 0}, {0, 720}, {540, 720}})
    cv::circle(light, corner, 90, 0.02, cv::FILLED);
  EXPECT_LT(plate_evidence(as_frame(light), PlateKind::tintype), kBelieved);
}

TEST(PlateEvidence, IsLowOnNoiseAndOnAnEvenSurface) {
  cv::RNG random(5);
  for (const double sigma : {0.0, 0.01, 0.2}) {
    cv::Mat light(500, 700, CV_32FC1);
    random.fill(light, cv::RNG::NORMAL, 0.5, sigma);
    EXPECT_LT(plate_evidence(as_frame(cv::max(cv::min(light, 1.0), 0.0)), PlateKind::tintype), kBelieved);
  }
}

}  // namespace
}  // namespace platewise::test
