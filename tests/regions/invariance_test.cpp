#include <gtest/gtest.h>

#include <functional>
#include <opencv2/imgproc.hpp>
#include <string>

#include "drawn_plate.h"
#include "platewise/regions/find_regions.h"

namespace platewise::test {
namespace {

// A change of the picture that must change nothing but the place of the regions.
struct Change {
  std::string name;
  std::function<cv::Mat(const cv::Mat&)> picture;
  std::function<cv::Mat(const cv::Mat&)> mask;
  double scale = 1.0;
};

cv::Mat flipped(const cv::Mat& image) {
  cv::Mat result;
  cv::flip(image, result, 1);
  return result;
}

cv::Mat turned(const cv::Mat& image) {
  cv::Mat result;
  cv::rotate(image, result, cv::ROTATE_90_CLOCKWISE);
  return result;
}

cv::Mat halved(const cv::Mat& image) {
  cv::Mat result;
  cv::resize(image, result, {}, 0.5, 0.5, cv::INTER_AREA);
  return result;
}

const std::vector<Change>& changes() {
  static const std::vector<Change> all = {
      {"AddedConstant", [](const cv::Mat& m) { return cv::Mat(m + 0.7); },
       [](const cv::Mat& m) { return m; }},
      {"Mirrored", flipped, flipped},
      {"TurnedByARightAngle", turned, turned},
      {"HalvedResolution", halved, [](const cv::Mat& m) { return cv::Mat(halved(m) > 127); }, 0.5}};
  return all;
}

class Unchanged : public testing::TestWithParam<Change> {};

TEST_P(Unchanged, RegionsStayTheSame) {
  for (const PlateKind kind : {PlateKind::ambrotype, PlateKind::negative}) {
    DrawnPlate options;
    options.kind = kind;
    options.bare_corner = {12, 0, 0, 0};
    options.long_side_px = 1200;
    options.seed = 31;
    const DensityImage plate = draw(options).plate;
    const Regions before = find_regions(plate, {kind, false, false});
    const DensityImage changed{GetParam().picture(plate.density), plate.px_per_unit * GetParam().scale};
    const Regions after = find_regions(changed, {kind, false, false});
    EXPECT_GE(overlap(GetParam().mask(before.picture.inside), after.picture.inside), 0.98);
    EXPECT_GE(overlap(GetParam().mask(before.rim.inside), after.rim.inside), 0.85);
    EXPECT_GE(overlap(GetParam().mask(before.bare.inside), after.bare.inside), 0.85);
    EXPECT_NEAR(before.covered_fraction, after.covered_fraction, 0.004);
    EXPECT_EQ(before.uncovered_corners.size(), after.uncovered_corners.size());
  }
}

INSTANTIATE_TEST_SUITE_P(Changes, Unchanged, testing::ValuesIn(changes()),
                         [](const auto& row) { return row.param.name; });

}  // namespace
}  // namespace platewise::test
