#include "platewise/calibrate/calibrate_scanner.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "device_models.h"
#include "plate_steps.h"

namespace platewise {
namespace {

constexpr double kWorthMax = 0.02;  // density that one code, or one sigma of a step's mean, may be worth
constexpr std::size_t kStepsMin = 5;
constexpr double kClipped = 0.995;             // linear light that full scale cannot be told from
constexpr double kWedgeU = 0.005;              // no wedge's own densities are surer (density_practice.json)
constexpr double kMaterialTransmitted = 0.02;  // wedge against silver image (common practice)
constexpr double kMaterialReflected = 0.05;

// Linear light between neighbouring code values. 8-bit files are tone-coded nearly as IEC 61966-2-1; 16-bit
// ones are taken as linear, the worse case in the dark.
double code_step(double light, int bits) {
  if (bits > 8) return 1.0 / 65535.0;
  constexpr double kCodes = 255.0;
  constexpr double kLinearPart = 0.0031308;
  if (light <= kLinearPart) return 1.0 / (12.92 * kCodes);
  const double slope = 1.055 / 2.4 * std::pow(light, 1.0 / 2.4 - 1.0);
  return 1.0 / (slope * kCodes);
}

std::vector<SignalStep> signal_steps(const FoundSteps& found, const Wedge& wedge,
                                     const std::vector<bool>& used) {
  std::vector<SignalStep> steps;
  for (std::size_t i = 0; i < wedge.steps.size(); ++i) {
    const Quantity signal = found.steps[i].signal;
    if (!used[i] || signal.value <= 0.0) continue;
    steps.push_back(
        {wedge.steps[i].density, std::log10(signal.value), signal.u / (signal.value * std::numbers::ln10)});
  }
  return steps;
}

// Change of light per density at a step, from its neighbours.
double light_per_density(const FoundSteps& found, const Wedge& wedge, std::size_t i) {
  const std::size_t before = i == 0 ? 0 : i - 1;
  const std::size_t after = std::min(i + 1, wedge.steps.size() - 1);
  return (found.steps[before].signal.value - found.steps[after].signal.value) /
         (wedge.steps[after].density - wedge.steps[before].density);
}

bool usable(const FoundSteps& found, const Wedge& wedge, const Scan& scan, std::size_t i) {
  const FoundStep& step = found.steps[i];
  if (step.signal.value <= 0.0 || step.signal.value > kClipped) return false;
  const double slope = light_per_density(found, wedge, i);
  if (slope <= 0.0) return false;
  return code_step(step.signal.value, scan.bits) < kWorthMax * slope && step.signal.u < kWorthMax * slope;
}

// Steps between the first and the last usable pair: only ends are dropped.
std::vector<bool> used_steps(const FoundSteps& found, const Wedge& wedge, const Scan& scan) {
  std::vector<bool> good;
  for (std::size_t i = 0; i < wedge.steps.size(); ++i) good.push_back(usable(found, wedge, scan, i));
  // The usable stretch is the longest run in which no two neighbours fail.
  std::size_t best_first = 0;
  std::size_t best_count = 0;
  for (std::size_t first = 0; first < good.size(); ++first) {
    if (!good[first]) continue;
    std::size_t last = first;
    for (std::size_t i = first + 1; i < good.size() && (good[i] || good[i - 1]); ++i) {
      if (good[i]) last = i;
    }
    if (last - first + 1 > best_count) {
      best_first = first;
      best_count = last - first + 1;
    }
  }
  std::vector<bool> used(good.size(), false);
  for (std::size_t i = best_first; i < best_first + best_count; ++i)
    used[i] = found.steps[i].signal.value > 0.0;
  return used;
}

double rms(const std::vector<double>& errors) {
  double squares = 0.0;
  for (const double error : errors) squares += error * error;
  return errors.empty() ? 0.0 : std::sqrt(squares / static_cast<double>(errors.size()));
}

// rms in which a single wild step counts no more than three times the usual.
double calm_rms(std::vector<double> errors) {
  if (errors.empty()) return 0.0;
  std::vector<double> sizes;
  sizes.reserve(errors.size());
  for (const double error : errors) sizes.push_back(std::abs(error));
  std::nth_element(sizes.begin(), sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2), sizes.end());
  const double limit = 4.5 * sizes[sizes.size() / 2] + 1e-6;
  for (double& error : errors) error = std::clamp(error, -limit, limit);
  return rms(errors);
}

DeviceModel best_model(const std::vector<SignalStep>& steps) {
  DeviceModel best = DeviceModel::pooled_steps;
  double least = 1e9;
  for (const DeviceModel model :
       {DeviceModel::light_law, DeviceModel::bent_light_law, DeviceModel::pooled_steps}) {
    const double error = calm_rms(left_out_errors(model, steps));
    if (error < least) {
      least = error;
      best = model;
    }
  }
  return best;
}

double density_u_at(const std::vector<SignalStep>& steps, double density) {
  const auto nearest = std::min_element(steps.begin(), steps.end(), [density](const auto& a, const auto& b) {
    return std::abs(a.density - density) < std::abs(b.density - density);
  });
  return nearest->u;
}

void warn_about_dropped(const Wedge& wedge, const std::vector<bool>& used, DeviceCurve& device) {
  const auto dropped = std::count(used.begin(), used.end(), false);
  if (dropped == 0) return;
  device.warnings.push_back(
      fmt::format("{} of {} steps were left out: there one code value, or the noise, is worth more than {} "
                  "D; the curve can be "
                  "used from density {:.2f} to {:.2f}",
                  dropped, wedge.steps.size(), kWorthMax, device.range_min, device.range_max));
}

// Steps at full scale look like any light ground: how many there are cannot be seen.
void warn_about_unseen_count(const FoundSteps& found, DeviceCurve& device) {
  if (found.steps.front().signal.value < kClipped) return;
  device.warnings.emplace_back(
      "the clear end of the wedge is at full scale: whether the wedge file has a row too many or too few "
      "there cannot be seen; scan it a little darker to have that checked");
}

void warn_about_misfit(double left_out_rms, DeviceCurve& device) {
  constexpr double kUsualMost = 0.015;  // density: scans of their own wedge stay below
  if (left_out_rms < kUsualMost) return;
  device.warnings.push_back(fmt::format(
      "the steps go with the wedge file only within {:.3f} D: check that the file belongs to this "
      "wedge and lists as many steps as lie in the frame",
      left_out_rms));
}

DeviceCurve described(const Scan& scan, const CalibrateScannerOptions& options) {
  DeviceCurve device;
  device.light = options.light;
  device.material_u = options.light == Light::transmitted ? kMaterialTransmitted : kMaterialReflected;
  device.bits = scan.bits;
  device.colour_profile = scan.colour_profile;
  device.resolution_dpi = scan.resolution_dpi;
  device.flat_fielded = options.flat.has_value();
  return device;
}

}  // namespace

Result<ScannerCalibration> calibrate_scanner(const Scan& scan, const Wedge& wedge,
                                             const CalibrateScannerOptions& options) {
  const auto even = evened_scan(scan, options.flat);
  if (!even) return tl::make_unexpected(even.error());
  FindStepsOptions find;
  find.count = static_cast<int>(wedge.steps.size());
  for (const WedgeStep& step : wedge.steps) find.densities.push_back(step.density);
  auto found = find_steps(*even, find);
  if (!found) return tl::make_unexpected(found.error());

  ScannerCalibration calibration;
  calibration.found = *found;
  calibration.used = used_steps(*found, wedge, scan);
  const std::vector<SignalStep> steps = signal_steps(*found, wedge, calibration.used);
  if (steps.size() < kStepsMin) {
    return failure(
        scan.path.string(),
        fmt::format("only {} of {} steps can be used, at least {} are needed: the others are saturated or "
                    "not told apart",
                    steps.size(), wedge.steps.size(), kStepsMin),
        "scan with less or more exposure and without automatic corrections, in 16 bits");
  }
  const DeviceModel model = best_model(steps);
  const std::vector<double> left_out = left_out_errors(model, steps);
  calibration.left_out_rms = rms(left_out);

  DeviceCurve& device = calibration.device;
  device = described(scan, options);
  device.knots = knots_of(model, steps);
  for (auto& knot : device.knots) {
    knot.u = std::hypot(density_u_at(steps, knot.density), calm_rms(left_out), kWedgeU);
  }
  device.flare = std::max(0.0, fit_light_law(steps).flare);
  device.range_min = steps.front().density;
  device.range_max = steps.back().density;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const SignalStep& step = steps[i];
    // A curve through its own points has no residuals there: inner steps are held against the others.
    const bool inner = i > 0 && i + 1 < steps.size();
    const double residual =
        inner ? left_out[i - 1] : density_at(device.knots, step.log_signal) - step.density;
    calibration.residuals.push_back(residual);
    device.max_residual_density = std::max(device.max_residual_density, std::abs(residual));
    device.steps.push_back({step.density, std::pow(10.0, step.log_signal), step.u});
  }
  device.warnings = found->warnings;
  warn_about_dropped(wedge, calibration.used, device);
  warn_about_unseen_count(*found, device);
  warn_about_misfit(calibration.left_out_rms, device);
  if (scan.from_camera && !options.flat) {
    device.warnings.emplace_back(
        "the wedge was photographed without a blank sheet (--flat): uneven light goes into the curve");
  }
  device.warnings.push_back(fmt::format(
      "densities are on the wedge's scale; a scanner's light is more directed than the standard's, so a "
      "silver image may read otherwise by {:.2f} of its density",
      device.material_u));
  return calibration;
}

}  // namespace platewise
