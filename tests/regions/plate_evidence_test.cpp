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
