#include "platewise/calibrate/calibrate_plate.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "calibrate/drawn_wedge.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

using drawn::WedgeDrawing;

constexpr double kFog = 0.06;

// Truth of another family than those fitted: an error function of log exposure.
struct Material {
  PlateKind kind;
  double support;
  double net;
  double gamma;
  double middle;

  [[nodiscard]] double silver(double log_exposure) const {
    const double sigma = net / (gamma * std::sqrt(2.0 * M_PI));
    return kFog + 0.5 * net * std::erfc(-(log_exposure - middle) / (sigma * std::sqrt(2.0)));
  }
  [[nodiscard]] double density(double log_exposure) const {
    return is_positive(kind) ? support - silver(log_exposure) : support + silver(log_exposure);
  }
};
const Material kTintype{PlateKind::tintype, 1.35, 0.85, 1.2, -1.3};
const Material kNegative{PlateKind::negative, 0.05, 1.5, 1.3, -1.5};

// The scanner of the drawings as a device file.
DeviceCurve device_of(const WedgeDrawing& d, Light light) {
  DeviceCurve device;
  for (double density = 3.2; density >= 0.0; density -= 0.05) {
    device.knots.push_back({std::log10(d.flare + d.gain * std::pow(10.0, -density)), density, 0.005});
  }
  device.light = light;
  device.material_u = 0.02;
  return device;
}

CalibratePlateOptions options_for(const Material& material, const WedgeDrawing& d) {
  CalibratePlateOptions options;
  options.kind = material.kind;
  options.light = is_positive(material.kind) ? Light::reflected : Light::transmitted;
  options.device = device_of(d, options.light);
  options.support_density = Quantity{material.support, 0.01};
  options.exposure_s = 10.0;
  options.development_s = 20.0;
  return options;
}

struct Case {
  const char* name;
  Material material;
  double turn_deg;
  double across_share;
};
class ExposedWedge : public testing::TestWithParam<Case> {};

TEST_P(ExposedWedge, GivesThePlatesCurve) {
  const auto& [name, material, turn, across] = GetParam();
  const std::vector<double> wedge = drawn::even_densities(21, 0.05, 0.15);
  WedgeDrawing d;
  for (const double density : wedge) d.densities.push_back(material.density(wedge.front() - density));
  d.surround_density = material.density(-9.0);
  d.width = 900;
  d.height = 560;
  d.along_share = std::abs(turn) > 45 ? 0.55 : 0.9;
  d.across_share = across;
  d.turn_deg = turn;
  d.noise = 0.01;
  d.dust = 40;
  const auto options = options_for(material, d);
  const auto calibration = calibrate_plate(drawn::draw(d), drawn::wedge_of(wedge), options);
  ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
  const PlateCurve& curve = calibration->curve;
  EXPECT_NEAR(curve.gamma.value, material.gamma, 2.0 * curve.gamma.u);
  EXPECT_LT(curve.gamma.u, 0.12 * material.gamma);
  EXPECT_NEAR(curve.fog.value, kFog, 2.0 * curve.fog.u);
  EXPECT_NEAR(curve.model.silver(material.middle), material.silver(material.middle), 0.04);
  EXPECT_EQ(curve.steps.size(), 21U);
  EXPECT_NEAR(curve.steps.back().log_exposure, 0.0, 1e-12);
  EXPECT_THAT(curve.warnings, testing::Contains(testing::HasSubstr("blue_density")));
}
INSTANTIATE_TEST_SUITE_P(Plates, ExposedWedge,
                         testing::Values(Case{"TintypeBands", kTintype, 0.0, 1.0},
                                         Case{"TintypeStripUpright", kTintype, 91.0, 0.3},
                                         Case{"NegativeStrip", kNegative, 1.5, 0.25},
                                         Case{"NegativeBandsReversed", kNegative, 180.0, 1.0}),
                         [](const auto& row) { return std::string(row.param.name); });

// Strips of unequal width, darkest time first, side by side over an even field.
Scan drawn_strips(const Material& material, const WedgeDrawing& d, const std::vector<double>& times,
                  Edge from, double scene_range) {
  Random random(8);
  constexpr int kSide = 600;
  const double longest = *std::max_element(times.begin(), times.end());
  std::vector<double> ends;
  for (std::size_t k = 0; k < times.size(); ++k) {
    const double even = static_cast<double>(k + 1) / static_cast<double>(times.size());
    ends.push_back(k + 1 == times.size() ? 1.0 : even + random.uniform(-0.03, 0.03));
  }
  cv::Mat light(kSide, kSide, CV_32FC1);
  for (int y = 0; y < kSide; ++y) {
    for (int x = 0; x < kSide; ++x) {
      double along = (x + 0.5) / kSide;
      double across = (y + 0.5) / kSide;
      if (from == Edge::top || from == Edge::bottom) std::swap(along, across);
      if (from == Edge::right || from == Edge::bottom) along = 1.0 - along;
      std::size_t k = 0;
      while (along > ends[k]) ++k;
      const double scene = scene_range * std::sin(9.0 * across);
      const double density =
          material.density(std::log10(times[k] / longest) + scene) + random.normal(0.0, 0.015);
      light.at<float>(y, x) = static_cast<float>(d.flare + d.gain * std::pow(10.0, -density));
    }
  }
  Scan scan;
  scan.path = "strips.tif";
  scan.width_px = scan.height_px = kSide;
  scan.bits = 16;
  scan.image.luminance = light;
  return scan;
}

class StripPlate : public testing::TestWithParam<Edge> {};

TEST_P(StripPlate, GivesTheCurveWithWiderUncertainty) {
  const Material material{PlateKind::tintype, 1.35, 0.85, 1.2, -0.7};
  const WedgeDrawing d;
  const std::vector<double> times{2, 4, 8, 16, 32, 64};
  for (const double scene : {0.0, 0.15}) {
    const auto calibration = calibrate_strips(drawn_strips(material, d, times, GetParam(), scene),
                                              {times, GetParam(), {}}, options_for(material, d));
    ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
    const PlateCurve& curve = calibration->curve;
    EXPECT_EQ(curve.steps.size(), times.size());
    EXPECT_NEAR(curve.steps.front().log_exposure, std::log10(2.0 / 64.0), 1e-12);
    EXPECT_NEAR(curve.gamma.value, material.gamma, 2.0 * curve.gamma.u) << scene;
    EXPECT_NEAR(curve.fog.value, kFog, 2.0 * curve.fog.u) << scene;
    EXPECT_GT(curve.shared_log_exposure_u, 0.02);
  }
}
INSTANTIATE_TEST_SUITE_P(From, StripPlate, testing::Values(Edge::left, Edge::right, Edge::top, Edge::bottom),
                         [](const auto& row) { return std::string(name_of(row.param)); });

TEST(StripPlateInFrame, LeavesTheBedOut) {
  // The plate lies somewhere on a white bed: whoever found it says where its picture is.
  const Material material{PlateKind::tintype, 1.35, 0.85, 1.2, -0.7};
  const WedgeDrawing d;
  const std::vector<double> times{2, 4, 8, 16, 32, 64};
  Scan scan = drawn_strips(material, d, times, Edge::top, 0.1);
  cv::Mat bed(800, 900, CV_32FC1, cv::Scalar(0.8));
  scan.image.luminance.copyTo(bed(cv::Rect(210, 90, 600, 600)));
  scan.image.luminance = bed;
  scan.width_px = bed.cols;
  scan.height_px = bed.rows;
  const Quad picture{{{210, 90}, {810, 90}, {810, 690}, {210, 690}}};
  const auto calibration = calibrate_strips(scan, {times, Edge::top, picture}, options_for(material, d));
  ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
  EXPECT_NEAR(calibration->curve.gamma.value, material.gamma, 2.0 * calibration->curve.gamma.u);
  for (const FoundStep& step : calibration->found.steps) {
    for (const Point& corner : step.outline_px) {
      EXPECT_GE(corner.x, 209.0);
      EXPECT_LE(corner.x, 811.0);
    }
  }
}

std::vector<double> doubled_times(int count) {
  std::vector<double> times;
  for (int k = 0; k < count; ++k) times.push_back(2.0 * std::pow(2.0, k));
  return times;
}

struct Listed {
  const char* name;
  double middle;  // of the material's curve, log exposure: 0 leaves the shorter strips without any silver
  int drawn;
  int listed;
  bool refused;
  bool warned;
};
class ListedStrips : public testing::TestWithParam<Listed> {};

// A strong border that is not listed is seen, whatever else: refused. A listed border that is not seen is
// refused where the curve is steep at both ends of the strips; where it lies flat there may be strips without
// a border between them, nobody can know: the plate is taken, and the report says so.
TEST_P(ListedStrips, AreCountedInThePicture) {
  const Listed& row = GetParam();
  const Material material{PlateKind::tintype, 1.35, 0.85, 1.2, row.middle};
  const WedgeDrawing d;
  for (const Edge from : {Edge::left, Edge::bottom}) {
    for (const double scene : {0.0, 0.15}) {
      const auto calibration =
          calibrate_strips(drawn_strips(material, d, doubled_times(row.drawn), from, scene),
                           {doubled_times(row.listed), from, {}}, options_for(material, d));
      ASSERT_EQ(calibration.has_value(), !row.refused)
          << scene << (calibration ? "" : calibration.error().message());
      const auto told = testing::HasSubstr(std::to_string(row.listed) + " strips are listed, but");
      if (row.refused) {
        EXPECT_THAT(calibration.error().what, told) << scene;
        continue;
      }
      const auto somewhere = testing::Contains(told);
      if (row.warned) {
        EXPECT_THAT(calibration->curve.warnings, somewhere) << scene;
      } else {
        EXPECT_THAT(calibration->curve.warnings, testing::Not(somewhere)) << scene;
      }
    }
  }
}
INSTANTIATE_TEST_SUITE_P(Counts, ListedStrips,
                         testing::Values(Listed{"Five", -0.6, 5, 5, false, false},
                                         Listed{"FiveAsFour", -0.6, 5, 4, true, false},
                                         Listed{"Six", -0.7, 6, 6, false, false},
                                         Listed{"SixAsFive", -0.7, 6, 5, true, false},
                                         Listed{"SixAsFour", -0.7, 6, 4, true, false},
                                         Listed{"SteepFourAsFive", -0.45, 4, 5, true, false},
                                         Listed{"SteepFourAsSix", -0.45, 4, 6, true, false},
                                         Listed{"FaintSixAsSeven", 0.0, 6, 7, false, true},
                                         Listed{"FaintSix", 0.0, 6, 6, false, false},
                                         Listed{"FaintSixAsFour", -0.4, 6, 4, true, false}),
                         [](const auto& row) { return std::string(row.param.name); });

TEST(StripPlateInput, TimesMustMakeSense) {
  const WedgeDrawing d;
  const auto scan = drawn_strips(kTintype, d, {4, 8, 16, 32}, Edge::left, 0.0);
  const auto options = options_for(kTintype, d);
  for (const std::vector<double>& times :
       {std::vector<double>{4, 8, 16}, std::vector<double>{4, 8, 8, 16}, std::vector<double>{4, 8, 4, 16},
        std::vector<double>{0, 4, 8, 16}}) {
    const auto calibration = calibrate_strips(scan, {times, Edge::left, {}}, options);
    ASSERT_FALSE(calibration.has_value());
    EXPECT_THAT(calibration.error().what, testing::HasSubstr("strip"));
  }
}

}  // namespace
}  // namespace platewise
