#pragma once

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"

namespace platewise {

// What is expected of a wet plate before anything was measured. Common practice unless a source is named;
// wide on purpose: they rule only where the steps say nothing.
struct CurvePrior {
  Quantity fog;             // density over the bare support
  Quantity log_net_silver;  // natural log of the largest silver over fog
  Quantity log_gamma;       // natural log of the greatest gradient
};

// Negative: net 1.6 D times or over 1.5, gamma 1.3 times or over 1.6 (iron-developed iodide plate, figures
// traced second-hand from Skladnikiewitz, Hertel & Schmidt 1998: net 1.57, gamma 1.28; spread common
// practice). Positive, in lightening of the support: net 0.85 D, gamma 1.2.
[[nodiscard]] CurvePrior curve_prior(PlateKind kind);

}  // namespace platewise
