#include "platewise/density/device_curve.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace platewise {
namespace {

// wedge_calibration_example.json (COMPUTED: isotonic pooling in exact arithmetic, scipy PCHIP): density knots
// against log10 of the 16-bit code, and densities read from codes between them.
DeviceCurve example_device() {
  const std::vector<std::pair<double, double>> code_density{
      {57614.0, 0.05}, {40796.0, 0.2}, {28938.0, 0.35}, {20484.0, 0.5}, {14544.0, 0.65},
      {10289.0, 0.8},  {7330.0, 0.95}, {5210.0, 1.1},   {3694.0, 1.25}, {2660.0, 1.4},
      {1892.0, 1.55},  {1385.0, 1.7},  {981.0, 1.85},   {731.0, 2.0},   {558.0, 2.15},
      {385.0, 2.3},    {338.0, 2.45},  {225.0, 2.675},  {157.5, 2.975}};
  DeviceCurve device;
  for (auto row = code_density.rbegin(); row != code_density.rend(); ++row) {
    device.knots.push_back({std::log10(row->first / 65535.0), row->second, 0.004});
  }
  return device;
}

struct CodeRow {
  double code;
  double density;
};
class WedgeExample : public ::testing::TestWithParam<CodeRow> {};
INSTANTIATE_TEST_SUITE_P(Codes, WedgeExample,
                         ::testing::Values(CodeRow{57000, 0.0546444096}, CodeRow{40000, 0.208588368},
                                           CodeRow{25000, 0.413500917}, CodeRow{12000, 0.733206114},
                                           CodeRow{6000, 1.03809726}, CodeRow{3000, 1.34516721},
                                           CodeRow{1500, 1.66237519}, CodeRow{800, 1.95228937},
                                           CodeRow{500, 2.19245957}, CodeRow{300, 2.52748289},
                                           CodeRow{200, 2.76153333}));

TEST_P(WedgeExample, ReadsThePublishedDensity) {
  EXPECT_NEAR(density_of(example_device(), GetParam().code / 65535.0).value, GetParam().density, 1e-7);
}

TEST(DeviceCurve, FallsWithSignalEverywhere) {
  const DeviceCurve device = example_device();
  double before = 99.0;
  for (double log_signal = -4.5; log_signal <= 0.3; log_signal += 0.01) {
    const double density = density_of(device, std::pow(10.0, log_signal)).value;
    EXPECT_LE(density, before + 1e-12) << log_signal;
    before = density;
  }
}

TEST(DeviceCurve, UncertaintyGrowsOutsideItsKnots) {
  const DeviceCurve device = example_device();
  EXPECT_NEAR(density_of(device, 3000.0 / 65535.0).u, 0.004, 1e-12);
  const double near = density_of(device, 130.0 / 65535.0).u;
  const double far = density_of(device, 60.0 / 65535.0).u;
  EXPECT_GT(near, 0.004);
  EXPECT_GT(far, near);
}

TEST(DeviceCurve, NoLightReadsAsTheSmallestSixteenBitSignal) {
  const DeviceCurve device = example_device();
  EXPECT_EQ(density_of(device, 0.0), density_of(device, 1.0 / 65535.0));
  EXPECT_EQ(density_of(device, -1.0), density_of(device, 1.0 / 65535.0));
}

}  // namespace
}  // namespace platewise
