#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"
#include "platewise/core/result.h"
#include "platewise/core/warnings.h"

namespace platewise {

// One step of the wedge as measured: its density, the scanner's linear signal (full scale 1), and the
// standard uncertainty of the density read from that signal.
struct DeviceStep {
  double density = 0.0;
  double signal = 0.0;
  double u = 0.0;
};

// How a scanner or camera turns density into linear light, from a scan of a known wedge.
// Curve: density is a monotone falling function of log10(signal), interpolated by monotone cubics through
// `knots` (log10 signal rising). Outside `range` the end slope continues and u grows with the distance.
struct DeviceCurve {
  struct Knot {
    double log_signal = 0.0;
    double density = 0.0;
    double u = 0.0;
  };
  std::vector<DeviceStep> steps;
  std::vector<Knot> knots;
  double range_min = 0.0;  // usable densities
  double range_max = 0.0;
  double max_residual_density = 0.0;
  double flare = 0.0;  // share of full scale that falls everywhere
  double material_u =
      0.05;  // wedge material against silver image: 0.02 transmitted, 0.05 reflected (common practice)
  Light light = Light::reflected;
  int bits = 16;  // what it was made with
  std::string colour_profile;
  std::optional<double> resolution_dpi;
  bool flat_fielded = false;
  Warnings warnings;
};

// Density of a linear signal (full scale 1) and its standard uncertainty without `material_u`.
// Signals at or below zero give the density of the smallest positive signal a 16-bit file holds.
[[nodiscard]] Quantity density_of(const DeviceCurve& device, double signal);

}  // namespace platewise
