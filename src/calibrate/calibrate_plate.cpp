#include "platewise/calibrate/calibrate_plate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "plate_steps.h"
#include "platewise/density/density_errors.h"
#include "platewise/density/device_fit.h"
#include "platewise/density/to_density.h"
#include "platewise/sensitometry/fit_curve.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

// A stop's worth of doubt on the whole axis would hide nothing; a wedge's own densities are known this well.
constexpr double kWedgeExposureU = 0.02;

double seen_by_plate(const WedgeStep& step) {
  return step.blue_density ? *step.blue_density : step.density;
}

double usual_u(const DeviceCurve& device) {
  std::vector<double> all;
  for (const DeviceCurve::Knot& knot : device.knots) all.push_back(knot.u);
  return all.empty() ? 0.0 : median(all);
}

// A rim with more silver than the weakest step got light itself.
bool can_be_unexposed(const Quantity& density, const std::vector<CurveStep>& steps, PlateKind kind) {
  const double sign = is_positive(kind) ? -1.0 : 1.0;
  double least = 1e9;
  for (const CurveStep& step : steps) least = std::min(least, sign * step.density);
  constexpr double kGrace = 0.03;  // density: uneven coating
  return sign * density.value < least + kGrace + 2.0 * density.u;
}

// One sigma of the exposure axis that the other places of the steps leave.
double placement_u(const FoundSteps& found, const std::vector<CurveStep>& steps) {
  const double pitch = std::abs(steps.back().log_exposure - steps.front().log_exposure) /
                       static_cast<double>(steps.size() - 1);
  double variance = 0.0;
  for (const OtherPlace& other : found.other_places) {
    const double off = other.shift * pitch;
    variance += other.probability * off * off;
  }
  return std::sqrt(variance);
}

}  // namespace

Result<Warnings> device_warnings(const Scan& scan, const CalibratePlateOptions& options) {
  if (!options.device) return Warnings{};
  return device_fits(
      *options.device, scan,
      {.kind = options.kind, .light = options.light, .backing = options.backing, .flat = options.flat});
}

CurveOptions curve_options(const CalibratePlateOptions& options) {
  CurveOptions curve;
  curve.kind = options.kind;
  curve.support_seen = options.support_density.has_value();
  curve.support_density =
      options.support_density.value_or(default_support_density(options.kind, options.light, options.backing));
  curve.unexposed = options.unexposed;
  curve.exposure_s = options.exposure_s;
  curve.development_s = options.development_s;
  return curve;
}

Quantity step_density(const FoundStep& step, const std::optional<DeviceCurve>& device) {
  constexpr double kSmallestSignal = 1.0 / 65535.0;
  const double signal = std::max(step.signal.value, kSmallestSignal);
  const double relative_u = step.signal.u / signal;
  if (!device) {
    // A little stray light is usual: dark steps read too light by up to this share of full scale.
    constexpr double kFlareU = 0.002;
    return {-std::log10(signal), std::hypot(relative_u, kFlareU / signal) / std::numbers::ln10};
  }
  const Quantity density = density_of(*device, signal);
  const double slope = (density_of(*device, signal * 1.01).value - density_of(*device, signal / 1.01).value) /
                       (2.0 * std::log(1.01));
  return widened(density, slope * relative_u);
}

Result<PlateCurve> fitted_curve(const std::vector<CurveStep>& steps, CurveOptions of_curve, const Scan& scan,
                                const CalibratePlateOptions& options) {
  const ScannerPrior scanner = scanner_prior(options.light, scan.from_camera);
  if (of_curve.unexposed && !can_be_unexposed(*of_curve.unexposed, steps, of_curve.kind))
    of_curve.unexposed.reset();
  if (!options.device) of_curve.support_density.u = std::hypot(of_curve.support_density.u, scanner.offset_u);
  auto curve = fit_curve(steps, of_curve);
  if (!curve) {
    curve.error().where = scan.path.string();
    return curve;
  }
  const double slope_u = options.device ? options.device->material_u : scanner.slope_u;
  curve->gamma = widened(curve->gamma, slope_u * curve->gamma.value);
  curve->average_gradient = widened(curve->average_gradient, slope_u * curve->average_gradient.value);
  if (options.device) {
    // All steps share the errors of the device's curve: the fit, which takes them for independent, does not
    // see them.
    const double shared_u = usual_u(*options.device);
    curve->max_density = widened(curve->max_density, shared_u);
    curve->min_density = widened(curve->min_density, shared_u);
    return curve;
  }
  curve->max_density = widened(curve->max_density, scanner.offset_u);
  curve->min_density = widened(curve->min_density, scanner.offset_u);
  curve->warnings.insert(curve->warnings.end(), scan.warnings.begin(), scan.warnings.end());
  curve->warnings.emplace_back(
      "no device file: densities are those of the bare scan, with an unknown common offset and scale; fog "
      "and the largest density are rough");
  return curve;
}

Result<PlateCalibration> calibrate_plate(const Scan& scan, const Wedge& wedge,
                                         const CalibratePlateOptions& options) {
  const auto doubts = device_warnings(scan, options);
  if (!doubts) return tl::make_unexpected(doubts.error());
  const auto even = evened_scan(scan, options.flat);
  if (!even) return tl::make_unexpected(even.error());
  FindStepsOptions find;
  find.count = static_cast<int>(wedge.steps.size());
  find.lighter = is_positive(options.kind) ? LighterEnd::clear : LighterEnd::dense;
  find.developed_plate = true;
  const auto found = find_steps(*even, find);
  if (!found) return tl::make_unexpected(found.error());

  std::vector<CurveStep> steps;
  for (std::size_t i = 0; i < wedge.steps.size(); ++i) {
    const Quantity density = step_density(found->steps[i], options.device);
    const double log_exposure = seen_by_plate(wedge.steps.front()) - seen_by_plate(wedge.steps[i]);
    steps.push_back({log_exposure, density.value, density.u});
  }
  CurveOptions of_curve = curve_options(options);
  of_curve.shared_log_exposure_u = std::hypot(kWedgeExposureU, placement_u(*found, steps));
  auto curve = fitted_curve(steps, of_curve, scan, options);
  if (!curve) return tl::make_unexpected(curve.error());
  curve->warnings.insert(curve->warnings.end(), found->warnings.begin(), found->warnings.end());
  curve->warnings.insert(curve->warnings.end(), doubts->begin(), doubts->end());
  if (!wedge.has_blue()) {
    curve->warnings.emplace_back(
        "the wedge file has no blue_density: a plate that sees blue only may have got other exposures than "
        "the visual densities say");
  }
  return PlateCalibration{*curve, *found};
}

}  // namespace platewise
