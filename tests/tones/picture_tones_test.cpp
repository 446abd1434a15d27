#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <random>

#include "tones/drawn_plate.h"

// Percentiles of the picture: published values, and what must not move them.
namespace platewise {
namespace {

// image_small.json (COMPUTED: numpy, percentiles of Hyndman & Fan type 7): the 16 x 16 picture
// I[i][j] = (37 i + 11 j j + 5 i j) mod 256. Here each value is a tile, in hundredths of density, so the
// percentile may differ from the one of 256 single values by one grey value at a step.
TEST(PictureTones, PercentilesAgreeWithTheReferencePicture) {
  constexpr int kTile_px = 20;
  DrawnPlate plate;
  plate.density.image.px_per_unit = 12.0;
  plate.density.image.density.create(16 * kTile_px, 16 * kTile_px, CV_32FC1);
  for (int i = 0; i < 16; ++i) {
    for (int j = 0; j < 16; ++j) {
      const auto value = static_cast<float>((37 * i + 11 * j * j + 5 * i * j) % 256);
      plate.density.image.density(cv::Rect(j * kTile_px, i * kTile_px, kTile_px, kTile_px)) = value / 100.0F;
    }
  }
  cv::Mat framed;  // the measured picture leaves its outermost half millimetre out
  cv::copyMakeBorder(plate.density.image.density, framed, 10, 10, 10, 10, cv::BORDER_REPLICATE);
  plate.density.image.density = framed;
  plate.regions.picture.inside = cv::Mat(framed.size(), CV_8UC1, cv::Scalar(255));
  const Tones tones =
      plate.tones({.kind = PlateKind::negative, .default_support = {0.0, 0.02}, .faults = {}});
  EXPECT_NEAR(tones.floor_density->value, 0.0255, 0.01);
  EXPECT_NEAR(tones.midtone_density->value, 1.17, 0.01);
  EXPECT_NEAR(tones.highlight_density->value, 2.50, 0.011);
}

// A portrait before a black backdrop: two thirds of the picture at the floor.
double portrait(double x_mm, double y_mm) {
  const double r = std::hypot(x_mm - 20.0, y_mm - 15.0);
  return r > 8.0 ? 1.22 : 0.55 + 0.02 * r + 0.03 * std::sin(3.0 * x_mm) * std::cos(2.0 * y_mm);
}

DrawnPlate portrait_plate(double grain) {
  DrawnPlate plate;
  plate.picture = portrait;
  plate.grain = grain;
  plate.draw();
  return plate;
}

TEST(PictureTones, ABlackBackdropIsTheFloorAndEmpty) {
  const Tones tones = portrait_plate(0.015).tones();
  EXPECT_NEAR(tones.floor_density->value, 1.22, 0.01);
  EXPECT_NEAR(*tones.empty_shadow_fraction, 0.75, 0.06);
  EXPECT_LT(*tones.blocked_highlight_fraction, 0.1);
}

TEST(PictureTones, GrainDoesNotDeepenTheFloor) {
  const double clean = portrait_plate(0.0).tones().floor_density->value;
  for (const double grain : {0.01, 0.03, 0.06}) {
    const Tones tones = portrait_plate(grain).tones();
    EXPECT_NEAR(tones.floor_density->value, clean, 0.01) << grain;
  }
}

TEST(PictureTones, EmptinessNeedsTheAbsenceOfDetail) {
  DrawnPlate plate;
  plate.grain = 0.015;
  plate.picture = [](double x_mm, double y_mm) {  // dark foliage: detail everywhere within the floor's reach
    return 1.20 + 0.03 * std::sin(5.0 * x_mm) * std::sin(5.0 * y_mm);
  };
  const double textured = *plate.draw().tones().empty_shadow_fraction;
  plate.picture = [](double, double) { return 1.20; };
  const double even = *plate.draw().tones().empty_shadow_fraction;
  EXPECT_LT(textured, 0.3);
  EXPECT_GT(even, 0.9);
}

TEST(PictureTones, AWhiteSkyIsBlockedHighlights) {
  DrawnPlate plate;
  plate.picture = [](double x_mm, double y_mm) { return y_mm < 15.0 ? 0.42 : 1.2 - 0.01 * x_mm; };
  const Tones tones = plate.draw().tones();
  EXPECT_NEAR(*tones.blocked_highlight_fraction, 0.5, 0.05);
  EXPECT_NEAR(tones.highlight_density->value, 0.42, 0.01);
}

// Specks of 0.2 to 1.2 mm, white and black, as dust and pinholes are.
void add_specks(DrawnPlate& plate, int count, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> even(0.0, 1.0);
  cv::Mat& density = plate.density.image.density;
  for (int speck = 0; speck < count; ++speck) {
    const double radius_px = (0.1 + 0.5 * even(random) * even(random)) * DrawnPlate::kPxPerMm;
    const double x = even(random) * density.cols;
    const double y = even(random) * density.rows;
    const float tone = even(random) < 0.5 ? 0.30F : 1.35F;
    for (int row = 0; row < density.rows; ++row) {
      for (int col = 0; col < density.cols; ++col) {
        if (std::hypot(col - x, row - y) < radius_px) density.at<float>(row, col) = tone;
      }
    }
  }
}

TEST(PictureTones, HundredsOfSpecksDoNotMoveThem) {
  DrawnPlate plate = portrait_plate(0.015);
  const Tones clean = plate.tones();
  add_specks(plate, 60, 3);  // on 12 cm2: as on a quarter plate with 450
  const Tones dusty = plate.tones();
  EXPECT_NEAR(dusty.floor_density->value, clean.floor_density->value, 0.01);
  EXPECT_NEAR(dusty.midtone_density->value, clean.midtone_density->value, 0.01);
  EXPECT_NEAR(dusty.highlight_density->value, clean.highlight_density->value, 0.02);
}

TEST(PictureTones, GivenFaultsAreLeftOut) {
  DrawnPlate plate = portrait_plate(0.015);
  const double clean = plate.tones().floor_density->value;
  const cv::Rect hole(60, 60, 60, 60);
  plate.density.image.density(hole) = 1.35F;
  TonesOptions options{.kind = PlateKind::tintype, .default_support = {1.35, 0.15}, .faults = {}};
  options.faults = Mask{cv::Mat::zeros(plate.density.image.density.size(), CV_8UC1)};
  options.faults->inside(hole) = 255;
  EXPECT_NEAR(plate.tones(options).floor_density->value, clean, 0.005);
}

// Where the opening was taken too wide, a strip of the white ground beside the plate is not its highlight.
TEST(PictureTones, AStripOfTheGroundAtTheBorderIsNotTheHighlight) {
  DrawnPlate plate = portrait_plate(0.015);
  const Tones clean = plate.tones();
  const cv::Rect strip(36, 36, 408, 10);  // 0.8 mm along the picture's upper border
  plate.density.image.density(strip) = 0.05F;
  const Quantity highlight = *plate.tones().highlight_density;
  EXPECT_NEAR(highlight.value, clean.highlight_density->value, 0.1);
  EXPECT_LE(std::abs(highlight.value - clean.highlight_density->value), 2.0 * highlight.u);
}

// No silver is less than none: bare support that was taken for picture is darker than the covered rim.
TEST(PictureTones, UnseenBareSupportInsideThePictureDoesNotDeepenTheFloor) {
  DrawnPlate plate = portrait_plate(0.005);
  plate.margin = 1.24;
  plate.draw();
  const Tones clean = plate.tones();
  plate.density.image.density(cv::Rect(36, 36, 40, 288)) = 1.40F;
  const Tones spoilt = plate.tones();
  EXPECT_NEAR(spoilt.floor_density->value, clean.floor_density->value, 0.02);
  EXPECT_NEAR(spoilt.floor_over_margin->value, clean.floor_over_margin->value, 0.02);
}

// A reading that hangs on the border says so by its u, also where it is kept.
TEST(PictureTones, UIsWiderWhereTheReadingHangsOnTheBorder) {
  DrawnPlate even;
  even.picture = [](double x_mm, double) { return 1.1 - 0.5 * std::pow(std::sin(0.5 * x_mm), 2); };
  DrawnPlate falling = even;
  falling.picture = [](double x_mm, double) { return 1.25 - 0.02 * x_mm; };
  EXPECT_GT(falling.draw().tones().highlight_density->u, even.draw().tones().highlight_density->u);
}

TEST(PictureTones, FineSceneDetailIsNotTakenForSpecks) {
  DrawnPlate plate;
  plate.grain = 0.01;
  plate.picture = [](double x_mm, double y_mm) {  // lace: bright threads 0.8 mm apart on dark cloth
    const double thread = std::max(std::cos(x_mm * 7.8), std::cos(y_mm * 7.8));
    return thread > 0.8 ? 0.5 : 1.2;
  };
  const Tones tones = plate.draw().tones();
  EXPECT_LT(tones.highlight_density->value, 0.8);
  EXPECT_GT(tones.floor_density->value, 1.1);
}

}  // namespace
}  // namespace platewise
