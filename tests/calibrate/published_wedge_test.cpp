#include <gtest/gtest.h>

#include <cmath>

#include "calibrate/drawn_wedge.h"
#include "platewise/calibrate/calibrate_scanner.h"
#include "published/published.h"

namespace platewise {
namespace {

// IEC 61966-2-1.
double light_of_code(double code) {
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

struct PublishedWedge {
  std::vector<double> densities;
  std::vector<double> light;
};

PublishedWedge wedge_with(const std::string& flare, int bits) {
  PublishedWedge wedge;
  for (const auto& row : published::csv("wedge_scan_synthetic.csv")) {
    if (row[0] != "21x0.15" || row[1] != flare) continue;
    wedge.densities.push_back(std::stod(row[3]));
    wedge.light.push_back(light_of_code(bits == 8 ? std::stod(row[4]) / 255.0 : std::stod(row[5]) / 65535.0));
  }
  return wedge;
}

Scan scan_of(const PublishedWedge& wedge, int bits) {
  constexpr int kStepPx = 40;
  constexpr int kBorderPx = 60;
  const int width = 2 * kBorderPx + kStepPx * static_cast<int>(wedge.light.size());
  cv::Mat light(400, width, CV_32FC1, cv::Scalar(1.0));
  for (std::size_t k = 0; k < wedge.light.size(); ++k) {
    light(cv::Rect(kBorderPx + kStepPx * static_cast<int>(k), 120, kStepPx, 160)).setTo(wedge.light[k]);
  }
  Scan scan;
  scan.path = "published.tif";
  scan.width_px = light.cols;
  scan.height_px = light.rows;
  scan.bits = bits;
  scan.image = {light, light, light, {}};
  return scan;
}

struct Case {
  const char* flare;
  int bits;
  double up_to;
  double tolerance;
};
class SyntheticWedge : public testing::TestWithParam<Case> {};

// wedge_scan_synthetic.csv (COMPUTED from step_wedges.csv): "the calibration must return column density",
// 0.002 D up to 2.0 for 16 bit, 0.02 D up to 1.5 for 8 bit.
TEST_P(SyntheticWedge, ReadsBackItsOwnDensities) {
  const auto& [flare, bits, up_to, tolerance] = GetParam();
  const PublishedWedge wedge = wedge_with(flare, bits);
  ASSERT_EQ(wedge.light.size(), 21U);
  const auto calibration = calibrate_scanner(scan_of(wedge, bits), drawn::wedge_of(wedge.densities), {});
  ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
  for (std::size_t k = 0; k < wedge.light.size() && wedge.densities[k] <= up_to; ++k) {
    EXPECT_NEAR(density_of(calibration->device, wedge.light[k]).value, wedge.densities[k], tolerance) << k;
  }
}
INSTANTIATE_TEST_SUITE_P(Flares, SyntheticWedge,
                         testing::Values(Case{"0.0", 16, 2.0, 0.002}, Case{"0.005", 16, 2.0, 0.002},
                                         Case{"0.02", 16, 1.5, 0.002}, Case{"0.0", 8, 1.5, 0.02},
                                         Case{"0.005", 8, 1.5, 0.02}),
                         [](const auto& row) {
                           std::string name = std::string("Flare") + row.param.flare + "Bits" +
                                              std::to_string(row.param.bits);
                           std::erase(name, '.');
                           return name;
                         });

}  // namespace
}  // namespace platewise
