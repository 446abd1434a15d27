#include "platewise/locate/locate_plate.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>
#include <string>

#include "locate/drawn_scan.h"

namespace platewise {
namespace {

using drawn::Ground;

drawn::Scene one_plate(Ground ground, double angle_deg, std::uint64_t seed) {
  drawn::Scene scene;
  scene.width_px = 700;
  scene.height_px = 850;
  scene.ground = ground;
  scene.seed = seed;
  drawn::Plate plate;
  plate.seed = seed;
  plate.corners_px = drawn::turned_rectangle({350, 430}, 520, 680, angle_deg);
  scene.plates = {plate};
  return scene;
}

struct Bed {
  const char* name;
  Ground ground;
  double angle_deg;
};

class OnAFlatbed : public testing::TestWithParam<Bed> {};

// The contract's target for flatbed scans: corners within 0.3% of the diagonal.
TEST_P(OnAFlatbed, CornersAreWithinThreeThousandthsOfTheDiagonal) {
  const Bed bed = GetParam();
  drawn::Scene scene = one_plate(bed.ground, bed.angle_deg, 3);
  scene.plates[0].ragged_mm = 0.2;
  const PlateOutline outline = locate_plate(drawn::scan_of(scene));
  ASSERT_TRUE(outline.found);
  EXPECT_EQ(outline.source, OutlineSource::seen);
  EXPECT_FALSE(outline.photo);
  EXPECT_LT(drawn::corner_error_percent(outline.corners_px, scene.plates[0].corners_px), 0.3);
  EXPECT_GT(outline.confidence, 0.8);
}

INSTANTIATE_TEST_SUITE_P(LocatePlate, OnAFlatbed,
                         testing::Values(Bed{"WhiteStraight", Ground::white_bed, 0.0},
                                         Bed{"WhiteTurned", Ground::white_bed, 3.0},
                                         Bed{"BlackTurned", Ground::black_bed, -2.0},
                                         Bed{"GreyTurned", Ground::grey_bed, 1.0}),
                         [](const auto& instance) { return std::string(instance.param.name); });

struct Photo {
  const char* name;
  Ground ground;
  bool colour;
};

class InAPhoto : public testing::TestWithParam<Photo> {};

// The contract's target for phone photos: corners within 0.8% of the diagonal.
TEST_P(InAPhoto, CornersAreWithinEightThousandthsOfTheDiagonal) {
  const Photo photo = GetParam();
  drawn::Scene scene = one_plate(photo.ground, 0.0, 5);
  scene.plates[0].corners_px =
      drawn::in_perspective(drawn::turned_rectangle({360, 430}, 400, 520, 6), {360, 430}, 0.15, -0.1);
  scene.colour = photo.colour;
  scene.uneven_light = 0.4;
  scene.bits = 8;
  const PlateOutline outline = locate_plate(drawn::scan_of(scene));
  ASSERT_TRUE(outline.found);
  EXPECT_TRUE(outline.photo);
  EXPECT_LT(drawn::corner_error_percent(outline.corners_px, scene.plates[0].corners_px), 0.8);
}

INSTANTIATE_TEST_SUITE_P(LocatePlate, InAPhoto,
                         testing::Values(Photo{"OnWood", Ground::wood, true},
                                         Photo{"OnPaper", Ground::paper, true},
                                         Photo{"OnGreyPaper", Ground::paper, false}),
                         [](const auto& instance) { return std::string(instance.param.name); });

class WithoutAPlate : public testing::TestWithParam<drawn::NotAPlate> {};

TEST_P(WithoutAPlate, NothingIsFoundAndTheWarningNamesTheCorners) {
  for (const std::uint64_t seed : {1U, 2U}) {
    const PlateOutline outline = locate_plate(drawn::scan_without_plate(GetParam(), seed));
    EXPECT_FALSE(outline.found) << "seed " << seed;
    ASSERT_FALSE(outline.warnings.empty());
    EXPECT_NE(outline.warnings[0].find("--corners"), std::string::npos);
  }
}

INSTANTIATE_TEST_SUITE_P(LocatePlate, WithoutAPlate,
                         testing::Values(drawn::NotAPlate::empty_bed, drawn::NotAPlate::gradient,
                                         drawn::NotAPlate::noise, drawn::NotAPlate::page_of_text,
                                         drawn::NotAPlate::screenshot, drawn::NotAPlate::landscape,
                                         drawn::NotAPlate::branches, drawn::NotAPlate::bricks));

// A rim as black as the bed: its inner edge must not be called the plate with confidence.
TEST(LocatePlate, ARimThatCannotBeToldFromTheBedIsDoubted) {
  drawn::Scene scene = one_plate(Ground::black_bed, 1.0, 4);
  scene.plates[0].rim_light = 0.012;
  scene.plates[0].specks = 0;
  const PlateOutline outline = locate_plate(drawn::scan_of(scene));
  EXPECT_TRUE(!outline.found || outline.source == OutlineSource::frame || outline.confidence < 0.5);
}

// A negative's light rim on a black bed is the plate's own, also where all corners are clipped.
TEST(LocatePlate, ALightRimWithClippedCornersOnABlackBedIsThePlate) {
  drawn::Scene scene = one_plate(Ground::black_bed, 1.0, 4);
  scene.plates[0].rim_light = 0.6;
  scene.plates[0].clip_mm = 5.0;
  const PlateOutline outline = locate_plate(drawn::scan_of(scene));
  ASSERT_TRUE(outline.found);
  EXPECT_EQ(outline.source, OutlineSource::seen);
  EXPECT_LT(drawn::corner_error_percent(outline.corners_px, scene.plates[0].corners_px), 0.3);
}

// A sheet with fine dark strokes on a grey bed is a receipt or letter.
TEST(LocatePlate, APrintedSheetOnTheBedIsNoPlate) {
  Scan scan = drawn::scan_of({.width_px = 700, .height_px = 850, .ground = Ground::grey_bed});
  cv::Mat& light = scan.image.luminance;
  const cv::Rect sheet(170, 90, 340, 650);
  light(sheet) += 0.75 - cv::mean(light(sheet))[0];
  for (int y = 130; y < 700; y += 14) {
    for (int x = 200; x < 480; x += 7) light(cv::Rect(x, y, 2, 7)).setTo(0.08F);
  }
  EXPECT_FALSE(locate_plate(scan).found);
}

// A chart's axes enclose flat bars.
TEST(LocatePlate, AChartIsNoPlate) {
  Scan scan = drawn::scan_of({.width_px = 700, .height_px = 850, .ground = Ground::white_bed});
  cv::Mat& light = scan.image.luminance;
  cv::rectangle(light, {80, 90}, {640, 740}, cv::Scalar(0.05), 2);
  for (int bar = 0; bar < 5; ++bar)
    light(cv::Rect(120 + 100 * bar, 300 + 70 * bar, 55, 440 - 70 * bar)) *= 0.3 + 0.1 * bar;
  EXPECT_FALSE(locate_plate(scan).found);
}

// From outside two plates in line look like one: their outer sides are four straight ones.
TEST(LocatePlate, TwoPlatesInLineAreNotTakenForOne) {
  for (const Ground ground : {Ground::white_bed, Ground::black_bed}) {
    drawn::Scene scene = one_plate(ground, 0.0, 6);
    scene.width_px = 1000;
    scene.height_px = 800;
    scene.plates[0].corners_px = drawn::turned_rectangle({280, 400}, 460, 620, 0);
    scene.plates[0].rim_light = 0.08;
    scene.plates.push_back(scene.plates[0]);
    scene.plates[1].corners_px = drawn::turned_rectangle({755, 400}, 400, 620, 0);
    scene.plates[1].seed = 9;
    const PlateOutline outline = locate_plate(drawn::scan_of(scene));
    ASSERT_TRUE(outline.found);
    EXPECT_LT(drawn::corner_error_percent(outline.corners_px, scene.plates[0].corners_px), 0.3);
    EXPECT_FALSE(outline.warnings.empty());
  }
}

// A plate that overhangs the scan shows its rim's opening as sharply as any plate's edge.
TEST(LocatePlate, TheOpeningOfARimThatFillsTheScanIsNotCalledThePlateWithConfidence) {
  for (const double bare_mm : {0.0, 10.0}) {
    drawn::Scene scene = one_plate(Ground::black_bed, 0.0, 8);
    scene.plates[0].corners_px = {{{-8, -6}, {909, -6}, {909, 1105}, {-8, 1105}}};
    scene.plates[0].rim_mm = 5.0;
    scene.plates[0].bare_mm = bare_mm;
    const PlateOutline outline = locate_plate(drawn::scan_of(scene));
    EXPECT_TRUE(!outline.found || outline.source == OutlineSource::frame || outline.confidence < 0.5)
        << "bare corners " << bare_mm << " mm";
  }
}

// A plate larger than the scanner's window ends at the frame on one or two sides, and the holder's opening is
// as straight there as an edge. The plate's other edges go on to the frame, past the opening.
struct Overhang {
  const char* name;
  Ground ground;
  Quad corners_px;  // as if the frame went on
};
class OverTheFrame : public testing::TestWithParam<Overhang> {};

TEST_P(OverTheFrame, EndsAtTheFrame) {
  const Overhang row = GetParam();
  for (const std::uint64_t seed : {3U, 4U, 5U}) {
    drawn::Scene scene = one_plate(row.ground, 0.0, seed);
    scene.plates[0].corners_px = row.corners_px;
    scene.plates[0].rim_mm = 5.0;
    const PlateOutline outline = locate_plate(drawn::scan_of(scene));
    ASSERT_TRUE(outline.found) << seed;
    Quad seen = row.corners_px;
    for (Point& corner : seen) {
      corner.x = std::clamp(corner.x, 0.0, 1.0 * scene.width_px);
      corner.y = std::clamp(corner.y, 0.0, 1.0 * scene.height_px);
    }
    EXPECT_LT(drawn::corner_error_percent(outline.corners_px, seen), 0.6) << seed;
    EXPECT_LT(outline.confidence, 0.9) << seed;
  }
}

INSTANTIATE_TEST_SUITE_P(
    LocatePlate, OverTheFrame,
    testing::Values(
        Overhang{"LeftOfWhite", Ground::white_bed, {{{-15, 90}, {560, 90}, {560, 780}, {-15, 780}}}},
        Overhang{"RightOfGrey", Ground::grey_bed, {{{130, 80}, {712, 80}, {712, 800}, {130, 800}}}},
        Overhang{"BelowOnWhite", Ground::white_bed, {{{90, 130}, {600, 130}, {600, 866}, {90, 866}}}},
        Overhang{"CornerOfWhite", Ground::white_bed, {{{120, -14}, {714, -14}, {714, 700}, {120, 700}}}}),
    [](const auto& instance) { return std::string(instance.param.name); });

// Eight bits and a strong JPEG leave no grain in a quiet plate: neighbours are equal in blocks of eight.
TEST(LocatePlate, AQuietPlateInAJpegIsNoScreen) {
  drawn::Scene scene = one_plate(Ground::grey_bed, 1.0, 5);
  scene.plates[0].white_light = 0.16;
  scene.noise = 0.0;
  Scan scan = drawn::scan_of(scene);
  cv::Mat& light = scan.image.luminance;
  constexpr int kBlock = 8;
  for (int y = 0; y + kBlock <= light.rows; y += kBlock) {
    for (int x = 0; x + kBlock <= light.cols; x += kBlock) {
      cv::Mat block = light(cv::Rect(x, y, kBlock, kBlock));
      cv::Scalar mean;
      cv::Scalar deviation;
      cv::meanStdDev(block, mean, deviation);
      if (deviation[0] < 0.02) block.setTo(mean);
    }
  }
  EXPECT_TRUE(locate_plate(scan).found);
}

TEST(LocatePlate, OfTwoPlatesTheLargerIsTakenWithAWarning) {
  drawn::Scene scene = one_plate(Ground::white_bed, 0.0, 6);
  drawn::Plate smaller = scene.plates[0];
  scene.plates[0].corners_px = drawn::turned_rectangle({200, 430}, 320, 420, 1);
  smaller.corners_px = drawn::turned_rectangle({530, 400}, 230, 300, -2);
  smaller.seed = 9;
  scene.plates.push_back(smaller);
  const PlateOutline outline = locate_plate(drawn::scan_of(scene));
  ASSERT_TRUE(outline.found);
  EXPECT_LT(drawn::corner_error_percent(outline.corners_px, scene.plates[0].corners_px), 0.5);
  EXPECT_THAT(outline.warnings, testing::Contains(testing::HasSubstr("More than one plate")));
}

// Laws, on one scan drawn once.
class Laws : public testing::Test {
 protected:
  static drawn::Scene scene() { return one_plate(Ground::white_bed, 1.5, 8); }
  static const Scan& scan() {
    static const Scan drawn_scan = drawn::scan_of(scene());
    return drawn_scan;
  }
};

TEST_F(Laws, TurningTheScanByOptionOnlyRenamesTheCorners) {
  const Quad upright = locate_plate(scan()).corners_px;
  LocateOptions quarter;
  quarter.rotate_deg = 90;
  const Quad turned = locate_plate(scan(), quarter).corners_px;
  EXPECT_EQ(turned[0], upright[3]);  // clockwise: the lower left corner comes to the top left
  EXPECT_EQ(turned[1], upright[0]);
  LocateOptions mirrored;
  mirrored.side = Side::glass;
  const Quad glass = locate_plate(scan(), mirrored).corners_px;
  EXPECT_EQ(glass[0], upright[1]);
  EXPECT_EQ(glass[3], upright[2]);
}

TEST_F(Laws, ScalingTheLightMovesNoCornerByMoreThanAHalfPixel) {
  Scan darker = scan();
  darker.image.luminance = scan().image.luminance.clone();
  darker.image.luminance *= 0.5;
  const Quad a = locate_plate(scan()).corners_px;
  const Quad b = locate_plate(darker).corners_px;
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(distance(a[i], b[i]), 0.5);
}

TEST_F(Laws, HalfTheResolutionGivesTheSameCornersInScanPixels) {
  Scan coarse = scan();
  cv::resize(scan().image.luminance, coarse.image.luminance, {}, 0.5, 0.5, cv::INTER_AREA);
  coarse.scan_px_per_working_px = 2.0;
  const Quad a = locate_plate(scan()).corners_px;
  const Quad b = locate_plate(coarse).corners_px;
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(distance(a[i], b[i]), 1.5);
}

TEST_F(Laws, GivenCornersAreTakenInAnyOrder) {
  LocateOptions options;
  const Quad truth = scene().plates[0].corners_px;
  options.corners_px = Quad{truth[2], truth[0], truth[3], truth[1]};
  const PlateOutline outline = locate_plate(scan(), options);
  ASSERT_TRUE(outline.found);
  EXPECT_EQ(outline.source, OutlineSource::given);
  EXPECT_EQ(outline.corners_px, truth);
}

TEST_F(Laws, TheWholeFrameIsTakenWithAtMostSixTenthsConfidence) {
  LocateOptions options;
  options.whole_frame = true;
  const PlateOutline outline = locate_plate(scan(), options);
  ASSERT_TRUE(outline.found);
  EXPECT_EQ(outline.source, OutlineSource::frame);
  EXPECT_LE(outline.confidence, 0.6);
  EXPECT_EQ(outline.corners_px, rectangle(700, 850));
}

TEST_F(Laws, SurroundOfAWhiteBedIsItsLuminance) {
  const PlateOutline outline = locate_plate(scan());
  ASSERT_TRUE(outline.surround_luminance.has_value());
  EXPECT_NEAR(outline.surround_luminance->value, 0.86, 0.01);
  EXPECT_TRUE(outline.surround_is_white);
}

// The contract's scale rule, row by row. The plate is 520 x 680 px.
struct ScaleRow {
  const char* name;
  double dpi;
  bool camera;
  bool millimetres;
  const char* size_name;  // empty: none
};

class ScaleRule : public testing::TestWithParam<ScaleRow> {};

TEST_P(ScaleRule, FollowsTheContract) {
  const ScaleRow row = GetParam();
  Scan scan;
  scan.width_px = 700;
  scan.height_px = 850;
  scan.image.luminance = cv::Mat(850, 700, CV_32FC1, cv::Scalar(0.5));
  if (row.dpi > 0) scan.resolution_dpi = row.dpi;
  scan.from_camera = row.camera;
  LocateOptions options;
  options.corners_px = drawn::turned_rectangle({350, 430}, 520, 680, 0);
  const PlateOutline outline = locate_plate(scan, options);
  EXPECT_EQ(outline.scale.millimetres, row.millimetres);
  EXPECT_EQ(outline.scale.size_name.value_or(""), row.size_name);
  if (row.millimetres) {
    EXPECT_NEAR(outline.scale.width_units, 520 / row.dpi * 25.4, 1e-6);
  } else {
    EXPECT_DOUBLE_EQ(outline.scale.height_units, 100.0);
    EXPECT_THAT(outline.warnings, testing::Contains(testing::HasSubstr("--plate-size")));
  }
}

INSTANTIATE_TEST_SUITE_P(LocatePlate, ScaleRule,
                         testing::Values(ScaleRow{"QuarterPlate", 160, false, true, "quarter"},
                                         ScaleRow{"WholePlate", 80, false, true, "whole"},
                                         ScaleRow{"NoTradeSize", 130, false, true, ""},
                                         ScaleRow{"SeventyTwoIsNotCredible", 72, false, false, ""},
                                         ScaleRow{"NinetySixIsNotCredible", 96, false, false, ""},
                                         ScaleRow{"CameraFilesSayNothing", 160, true, false, ""},
                                         ScaleRow{"NoResolution", 0, false, false, ""}),
                         [](const auto& instance) { return std::string(instance.param.name); });

TEST(LocatePlate, AGivenSizeFitsEitherOrientation) {
  Scan scan;
  scan.width_px = 700;
  scan.height_px = 850;
  scan.image.luminance = cv::Mat(850, 700, CV_32FC1, cv::Scalar(0.5));
  LocateOptions options;
  options.corners_px = drawn::turned_rectangle({350, 430}, 520, 680, 0);
  options.plate_size = PlateSizeMm{107.9, 82.5, "quarter"};
  const PlateOutline outline = locate_plate(scan, options);
  EXPECT_DOUBLE_EQ(outline.scale.width_units, 82.5);
  EXPECT_DOUBLE_EQ(outline.scale.height_units, 107.9);
  EXPECT_EQ(outline.scale.size_name, "quarter");
}

}  // namespace
}  // namespace platewise
