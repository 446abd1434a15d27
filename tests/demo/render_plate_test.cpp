#include "platewise/demo/render_plate.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/demo/write_demo.h"

namespace platewise {
namespace {

PlateOptions small_plate(std::uint64_t seed = 3) {
  PlateOptions options;
  options.seed = seed;
  options.width_mm = 50.8;  // ninth plate
  options.height_mm = 63.5;
  options.px_per_mm = 6.0;
  options.specks = 0;
  return options;
}

// Mean linear light over a patch about a point of the plate (mm).
double light_at(const PlateRendering& rendering, Point mm, double half_mm) {
  const PlateTruth& truth = rendering.truth;
  const Homography px_from_mm =
      target_from_source(rectangle(truth.width_mm, truth.height_mm), truth.corners_px);
  const double full = rendering.pixels.depth() == CV_8U ? 255.0 : 65535.0;
  cv::Mat values;
  rendering.pixels.convertTo(values, CV_64F, 1.0 / full);
  double sum = 0.0;
  int count = 0;
  for (double dy = -half_mm; dy <= half_mm; dy += 0.1)
    for (double dx = -half_mm; dx <= half_mm; dx += 0.1) {
      const Point px = px_from_mm(mm + Point{dx, dy});
      const int x = static_cast<int>(px.x);
      const int y = static_cast<int>(px.y);
      if (x < 0 || y < 0 || x >= values.cols || y >= values.rows) continue;
      const auto light = [&](int channel) {
        return profile_light(truth.device.curve, values.ptr<double>(y)[x * values.channels() + channel]);
      };
      sum += values.channels() == 1 ? light(0) : 0.2126 * light(0) + 0.7152 * light(1) + 0.0722 * light(2);
      ++count;
    }
  return sum / count;
}

TEST(RenderPlate, TheSameOptionsGiveTheSamePixels) {
  const PlateOptions options = small_plate();
  const PlateRendering first = render_plate(options);
  const PlateRendering second = render_plate(options);
  EXPECT_EQ(cv::norm(first.pixels, second.pixels, cv::NORM_INF), 0.0);
  EXPECT_EQ(truth_json(first.truth), truth_json(second.truth));
  EXPECT_NE(truth_json(first.truth), truth_json(render_plate(small_plate(4)).truth));
}

TEST(RenderPlate, HalvingTheExposureDarkensTheHighlightByTheModel) {
  for (double error_stops : {0.0, -1.0, -2.0}) {
    PlateOptions options = small_plate();
    options.exposure_error_stops = error_stops;
    options.film.unevenness = 0.0;
    const PlateRendering rendering = render_plate(options);
    const double x = right_highlight_log_exposure(options.process) + error_stops * std::log10(2.0);
    constexpr double kHowClose = 0.03;  // averaging density is not averaging light
    EXPECT_NEAR(rendering.truth.highlight_density, plate_density(options.process, x, 1.0), kHowClose);
  }
}

TEST(RenderPlate, CornersStandWhereThePlateMeetsTheBed) {
  for (double angle_deg : {0.0, 3.0, -7.0}) {
    PlateOptions options = small_plate();
    options.medium = Medium::white_lid;
    options.angle_deg = angle_deg;
    options.cut.rounding_mm = 0.0;
    const PlateRendering rendering = render_plate(options);
    for (Point corner : rectangle(rendering.truth.width_mm, rendering.truth.height_mm)) {
      const Point inward{corner.x > 0.0 ? -1.0 : 1.0, corner.y > 0.0 ? -1.0 : 1.0};
      EXPECT_LT(light_at(rendering, corner + 0.8 * inward, 0.2), 0.2);
      EXPECT_GT(light_at(rendering, corner - 1.2 * inward, 0.2), 0.3);
    }
  }
}

TEST(RenderPlate, APhotoKeepsItsCornersInTheFrame) {
  PlateOptions options = small_plate();
  options.medium = Medium::phone_photo;
  options.angle_deg = 9.0;
  options.photo.perspective = 0.12;
  const PlateRendering rendering = render_plate(options);
  EXPECT_TRUE(is_convex(rendering.truth.corners_px));
  for (Point corner : rendering.truth.corners_px) {
    EXPECT_GT(corner.x, 0.0);
    EXPECT_GT(corner.y, 0.0);
    EXPECT_LT(corner.x, rendering.pixels.cols);
    EXPECT_LT(corner.y, rendering.pixels.rows);
  }
}

TEST(RenderPlate, SilverLightensPositivesAndDarkensNegatives) {
  for (PlateKind kind : {PlateKind::tintype, PlateKind::ambrotype, PlateKind::negative}) {
    PlateOptions options = small_plate();
    options.process = ordinary_process(kind);
    const PlateTruth truth = render_plate(options).truth;
    EXPECT_EQ(truth.highlight_density < truth.floor_density, is_positive(kind));
    EXPECT_GT(truth.fog, 0.0);
    ASSERT_TRUE(truth.margin_fog.has_value());
    EXPECT_NEAR(*truth.margin_fog, options.process.fog_at_right_time, 0.01);
    EXPECT_LT(*truth.margin_fog, truth.fog);
  }
}

TEST(RenderPlate, TheRimIsSeenAsTheDeviceSeesItsDensity) {
  for (int bits : {8, 16}) {
    PlateOptions options = small_plate();
    options.film.edge = FilmEdge::full;
    options.rim.width_mm = 6.0;
    options.rim.uneven_mm = 0.0;
    options.device.bits = bits;
    options.device.local_flare = 0.0;
    options.device.curve_error = 0.03;
    const PlateRendering rendering = render_plate(options);
    ASSERT_TRUE(rendering.truth.margin_density.has_value());
    const double seen = light_at(rendering, {25.4, 2.5}, 1.2);
    constexpr double kHowClose = 0.03;  // share: grain and rounding over a few hundred pixels
    EXPECT_NEAR(seen / device_signal(options.device, *rendering.truth.margin_density), 1.0, kHowClose);
  }
}

TEST(RenderPlate, BareCornersAreKnown) {
  PlateOptions options = small_plate();
  options.film.edge = FilmEdge::bare_corners;
  options.film.bare_corners = 2;
  options.film.bare_corner_mm = 10.0;
  const PlateTruth truth = render_plate(options).truth;
  EXPECT_GE(truth.uncovered_corners.size(), 2U);
  EXPECT_LT(truth.covered_fraction, 0.99);
  EXPECT_TRUE(truth.support_visible);
}

TEST(RenderPlate, EveryFaultLeavesAMarkInsideThePlate) {
  PlateOptions clean = small_plate();
  clean.width_mm = 69.8;  // sixth plate: room for long faults
  clean.height_mm = 82.5;
  clean.px_per_mm = 5.0;
  // An even grey subject: every fault shows, wherever it falls.
  clean.photograph = LinearImage{cv::Mat(40, 30, CV_32FC1, cv::Scalar(0.4)), {}, {}, {}};
  clean.exposure_error_stops = -1.5;
  const cv::Mat before = render_plate(clean).pixels;
  for (const std::string& id : drawable_faults()) {
    PlateOptions options = clean;
    options.faults = {{id, id == "pinhole" || id == "dust_speck" ? 40 : 1, 1.0}};
    const PlateRendering rendering = render_plate(options);
    ASSERT_EQ(rendering.truth.faults.size(), 1U) << id;
    const TrueFault& fault = rendering.truth.faults.front();
    EXPECT_EQ(fault.id, id);
    EXPECT_GE(fault.box_origin_mm.x, -1e-6);
    EXPECT_GE(fault.box_origin_mm.y, -1e-6);
    EXPECT_LE(fault.box_origin_mm.x + fault.box_width_mm, options.width_mm + 1e-6);
    EXPECT_LE(fault.box_origin_mm.y + fault.box_height_mm, options.height_mm + 1e-6);
    EXPECT_GT(cv::norm(rendering.pixels, before, cv::NORM_INF), 3.0) << id;
    EXPECT_GT(std::max(std::abs(fault.contrast), fault.colour_contrast), 0.02) << id;
    EXPECT_GT(cv::countNonZero(rendering.faulty.inside), 0) << id;
  }
}

TEST(RenderPlate, AnOrdinaryTintypeScanIsDark) {
  int dark = 0;
  int positives = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const PlateOptions options = varied_plate(seed);
    if (!is_positive(options.process.kind)) continue;
    const double highlight =
        plate_density(options.process, right_highlight_log_exposure(options.process), 1.0);
    const double code = device_code(options.device, options.device.gain * std::pow(10.0, -highlight));
    ++positives;
    if (code > 0.38 && code < 0.52) ++dark;
  }
  // Half of the renderings are asked to have their lights near 45% of full scale.
  EXPECT_GT(dark, positives * 0.4);
  EXPECT_LT(dark, positives * 0.75);
}

TEST(RenderPlate, StripsGetTheirTimes) {
  PlateOptions options = small_plate();
  options.strips = StripExposure{{4.0, 8.0, 16.0}, Edge::left, 8.0};
  const PlateRendering rendering = render_plate(options);
  ASSERT_EQ(rendering.truth.steps.size(), 3U);
  EXPECT_NEAR(rendering.truth.steps[1].log_exposure, std::log10(8.0), 1e-12);
  EXPECT_LT(rendering.truth.steps[0].corners_mm[0].x, rendering.truth.steps[2].corners_mm[0].x);
}

TEST(RenderPlate, StepsUnderAWedgeHaveTheModelsDensity) {
  PlateOptions options = small_plate();
  options.film.unevenness = 0.0;
  options.film.edge = FilmEdge::full;
  WedgeExposure wedge;
  for (int i = 0; i < 10; ++i) wedge.densities.push_back(0.3 * i);
  options.wedge = wedge;
  const PlateRendering rendering = render_plate(options);
  ASSERT_EQ(rendering.truth.steps.size(), 10U);
  for (const TrueStep& step : rendering.truth.steps) {
    const Point middle = 0.5 * (step.corners_mm[0] + step.corners_mm[2]);
    const double drawn = rendering.clean_density.density.at<float>(static_cast<int>(middle.y * 6.0),
                                                                   static_cast<int>(middle.x * 6.0));
    EXPECT_NEAR(drawn, step.density, 0.02);
  }
}

TEST(Scenes, AreTexturedAllOver) {
  for (int kind = 0; kind < kSceneKindCount; ++kind) {
    const cv::Mat scene = draw_scene(static_cast<SceneKind>(kind), 8, 300, 400);
    cv::Mat detail;
    cv::Laplacian(scene, detail, CV_32F);
    const cv::Mat flat = cv::abs(detail) < 2e-5F;  // an out-of-focus sky still changes by more
    EXPECT_LT(cv::countNonZero(flat), 0.35 * static_cast<double>(scene.total())) << kind;
    double low = 0.0;
    double high = 0.0;
    cv::minMaxLoc(scene, &low, &high);
    EXPECT_GT(high - low, 1.0) << kind;
  }
}

TEST(WriteDemo, AFolderThatCannotBeMadeIsAProblem) {
  const auto files = write_demo("/dev/null/demo", 1);
  ASSERT_FALSE(files.has_value());
  EXPECT_NE(files.error().message().find("/dev/null/demo"), std::string::npos);
}

}  // namespace
}  // namespace platewise
