#pragma once

#include <vector>

#include "platewise/density/device_curve.h"

namespace platewise {

// One usable step: the wedge's density, and the signal's log10 with its u.
struct SignalStep {
  double density = 0.0;
  double log_signal = 0.0;
  double u = 0.0;
};

// light = flare + gain 10^(-contrast density), full scale 1.
struct LightLaw {
  double gain = 1.0;
  double contrast = 1.0;
  double flare = 0.0;

  [[nodiscard]] double light(double density) const;
  [[nodiscard]] double density(double light) const;  // NaN at or below the flare
};

// Least squares in log light, Huber. At least 4 steps.
[[nodiscard]] LightLaw fit_light_law(const std::vector<SignalStep>& steps);

// A curve from log signal to density as the device file holds it: knots with log signal rising.
using Knots = std::vector<DeviceCurve::Knot>;
enum class DeviceModel { pooled_steps, light_law, bent_light_law };

// pooled_steps: isotonic, equal signals pooled; light_law: sampled finely; bent_light_law: the law plus the
// pooled steps' distance from it. Knot u is left 0.
[[nodiscard]] Knots knots_of(DeviceModel model, const std::vector<SignalStep>& steps);

[[nodiscard]] double density_at(const Knots& knots, double log_signal);

// Errors of each inner step's density when it is predicted from the others only.
[[nodiscard]] std::vector<double> left_out_errors(DeviceModel model, const std::vector<SignalStep>& steps);

}  // namespace platewise
