#include "accuracy/calibration/judged.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace platewise::simulated {
namespace {

struct Truth {
  double gamma = 0.0;
  double speed = 0.0;
  double gradient = 0.0;
  double scale = 0.0;
  double strongest = 0.0;
};

Truth truth_of(const Photographer& who, double weakest_log_exposure) {
  const auto& net = who.net_silver;
  const auto where = [&](double silver) {
    double low = weakest_log_exposure - 6.0;
    double high = 4.0;
    for (int i = 0; i < 70; ++i) (net(0.5 * (low + high)) < silver ? low : high) = 0.5 * (low + high);
    return 0.5 * (low + high);
  };
  Truth truth;
  for (double x = weakest_log_exposure - 2.0; x < 1.0; x += 0.005) {
    // Over 0.1 of log exposure: the traced curve's own reading errors make finer slopes meaningless.
    truth.gamma = std::max(truth.gamma, (net(x + 0.05) - net(x - 0.05)) / 0.1);
  }
  truth.speed = where(0.10);
  const double reach = is_positive(who.kind) ? 0.65 : 1.30;
  truth.gradient = (net(truth.speed + reach) - net(truth.speed)) / reach;
  truth.strongest = net(0.0);
  truth.scale = where(0.9 * truth.strongest) - where(0.04);
  return truth;
}

}  // namespace

void JudgedDevices::add(const Photographer& who, const ScannerCalibration& calibration, std::uint64_t seed) {
  const DeviceCurve& device = calibration.device;
  for (std::size_t i = 0; i < who.wedge.size(); ++i) {
    if (!calibration.used[i] || who.wedge[i] < 0.05) continue;
    (who.eight_bit ? steps8 : steps16).add(density_of(device, who.device(who.wedge[i])), who.wedge[i], seed);
  }
  for (double d = std::max(0.05, device.range_min); d <= device.range_max; d += 0.03) {
    (who.eight_bit ? between8 : between16).add(density_of(device, who.device(d)), d, seed);
  }
  (who.eight_bit ? left_out8 : left_out16).add({calibration.left_out_rms, 0.0}, 0.0, seed);
}

void JudgedCurves::add(const Photographer& who, const PlateCurve& curve, double weakest_log_exposure,
                       std::uint64_t seed) {
  const Truth truth = truth_of(who, weakest_log_exposure);
  gamma.add(curve.gamma, truth.gamma, seed);
  speed.add(curve.speed_point_log_exposure, truth.speed, seed);
  fog.add(curve.fog, who.fog, seed);
  gradient.add(curve.average_gradient, truth.gradient, seed);
  scale.add(curve.exposure_scale, truth.scale, seed);
  const double no_light = who.plate_density(-9.0);
  const double strongest = who.plate_density(0.0);
  least.add(curve.min_density, std::min(no_light, strongest), seed);
  most.add(curve.max_density, std::max(no_light, strongest), seed);
}

void JudgedDevices::print() const {
  steps16.print("density at steps, 16 bit");
  between16.print("density between steps, 16 bit");
  steps8.print("density at steps, 8 bit");
  between8.print("density between steps, 8 bit");
  fmt::print("rms of left-out steps: 16 bit {:.4f} D (target 0.02), 8 bit {:.4f} D (target 0.03)\n",
             left_out16.rms(), left_out8.rms());
}

void JudgedCurves::print() const {
  gamma.print("gamma");
  speed.print("speed point, log exposure");
  fog.print("fog");
  gradient.print("average gradient");
  scale.print("exposure scale");
  least.print("least density");
  most.print("largest density");
  gamma.print_farthest("gamma");
  speed.print_farthest("speed point");
  fog.print_farthest("fog");
  gradient.print_farthest("average gradient");
  scale.print_farthest("exposure scale");
  least.print_farthest("least density");
  most.print_farthest("largest density");
}

}  // namespace platewise::simulated
