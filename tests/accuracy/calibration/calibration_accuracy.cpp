// Prints how true the calibrations are over simulated photographers that nothing was tuned on.
//   platewise_calibration_accuracy [photographers, default 100] [first seed, default 70000]
#include <fmt/format.h>

#include <cmath>
#include <string>
#include <vector>

#include "accuracy/calibration/photographer.h"
#include "platewise/calibrate/calibrate_plate.h"
#include "platewise/calibrate/calibrate_scanner.h"
#include "platewise/stats/robust.h"

namespace platewise::simulated {
namespace {

struct Errors {
  std::vector<double> error;
  std::vector<double> u;

  void add(Quantity measured, double truth) {
    error.push_back(measured.value - truth);
    u.push_back(measured.u);
  }
  void print(const std::string& name) const {
    double squares = 0.0;
    int inside = 0;
    for (std::size_t i = 0; i < error.size(); ++i) {
      squares += error[i] * error[i];
      inside += std::abs(error[i]) <= 2.0 * u[i];
    }
    const double count = static_cast<double>(error.size());
    if (error.empty()) return;
    fmt::print("{:32} {:8.4f} {:12.4f} {:12.4f} {:10.1f} %\n", name, std::sqrt(squares / count),
               robust_sigma(error), median(u), 100.0 * inside / count);
  }
};

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

struct Totals {
  int photographers = 0;
  int wedges_found = 0;
  int plates_found = 0;
  Errors steps16, steps8, between16, between8, left_out16, left_out8;
  Errors gamma, speed, fog, gradient, scale, least, most;
};

void judge_device(const Photographer& who, const ScannerCalibration& calibration, Totals& totals) {
  const DeviceCurve& device = calibration.device;
  for (std::size_t i = 0; i < who.wedge.size(); ++i) {
    if (!calibration.used[i] || who.wedge[i] < 0.05) continue;
    (who.eight_bit ? totals.steps8 : totals.steps16)
        .add(density_of(device, who.device(who.wedge[i])), who.wedge[i]);
  }
  for (double d = std::max(0.05, device.range_min); d <= device.range_max; d += 0.03) {
    (who.eight_bit ? totals.between8 : totals.between16).add(density_of(device, who.device(d)), d);
  }
  (who.eight_bit ? totals.left_out8 : totals.left_out16).add({calibration.left_out_rms, 0.0}, 0.0);
}

void judge_plate(const Photographer& who, const PlateCurve& curve, Totals& totals) {
  const Truth truth = truth_of(who, who.blue.front() - who.blue.back());
  totals.gamma.add(curve.gamma, truth.gamma);
  totals.speed.add(curve.speed_point_log_exposure, truth.speed);
  totals.fog.add(curve.fog, who.fog);
  totals.gradient.add(curve.average_gradient, truth.gradient);
  totals.scale.add(curve.exposure_scale, truth.scale);
  const double no_light = who.plate_density(-9.0);
  const double strongest = who.plate_density(0.0);
  totals.least.add(curve.min_density, std::min(no_light, strongest));
  totals.most.add(curve.max_density, std::max(no_light, strongest));
}

void calibrate_one(std::uint64_t seed, Totals& totals) {
  const Photographer who = photographer(seed);
  const Wedge wedge = wedge_file(who, seed);
  ++totals.photographers;
  CalibrateScannerOptions scanner_options;
  scanner_options.light = is_positive(who.kind) ? Light::reflected : Light::transmitted;
  const auto scanner = calibrate_scanner(scan_of_wedge(who, seed), wedge, scanner_options);
  if (!scanner) {
    fmt::print("seed {}: wedge: {}\n", seed, scanner.error().message());
    return;
  }
  ++totals.wedges_found;
  judge_device(who, *scanner, totals);
  CalibratePlateOptions options;
  options.kind = who.kind;
  options.light = scanner_options.light;
  options.device = scanner->device;
  options.support_density = Quantity{who.support, 0.02};
  const auto plate = calibrate_plate(scan_of_plate(who, seed), wedge, options);
  if (!plate) {
    fmt::print("seed {}: plate: {}\n", seed, plate.error().message());
    return;
  }
  ++totals.plates_found;
  judge_plate(who, plate->curve, totals);
}

void print(const Totals& totals) {
  fmt::print("{} photographers: {} wedge scans calibrated, {} plates calibrated\n\n", totals.photographers,
             totals.wedges_found, totals.plates_found);
  fmt::print("{:32} {:>8} {:>12} {:>12} {:>12}\n", "error of", "rms", "robust sigma", "median u",
             "within 2 u");
  totals.steps16.print("density at steps, 16 bit");
  totals.between16.print("density between steps, 16 bit");
  totals.steps8.print("density at steps, 8 bit");
  totals.between8.print("density between steps, 8 bit");
  totals.gamma.print("gamma");
  totals.speed.print("speed point, log exposure");
  totals.fog.print("fog");
  totals.gradient.print("average gradient");
  totals.scale.print("exposure scale");
  totals.least.print("least density");
  totals.most.print("largest density");
  const auto mean = [](const Errors& errors) {
    double sum = 0.0;
    for (const double error : errors.error) sum += error * error;
    return errors.error.empty() ? 0.0 : std::sqrt(sum / static_cast<double>(errors.error.size()));
  };
  fmt::print("\nrms of left-out steps: 16 bit {:.4f} D (target 0.02), 8 bit {:.4f} D (target 0.03)\n",
             mean(totals.left_out16), mean(totals.left_out8));
}

}  // namespace
}  // namespace platewise::simulated

int main(int argc, char** argv) {
  const int count = argc > 1 ? std::stoi(argv[1]) : 100;
  const std::uint64_t first = argc > 2 ? std::stoull(argv[2]) : 70000;
  platewise::simulated::Totals totals;
  for (int i = 0; i < count; ++i) {
    platewise::simulated::calibrate_one(first + static_cast<std::uint64_t>(i), totals);
  }
  platewise::simulated::print(totals);
  return 5 * totals.plates_found >= 4 * totals.photographers ? 0 : 1;
}
