#pragma once

#include <vector>

#include "platewise/core/quantity.h"

namespace platewise {

// A percentile of the picture's densities as it would be without grain and scanner noise.
//   noise widens a distribution F to F + noise^2/2 F'', so a quantile in its tail moved out by
//   noise^2/2 f'/f; f'/f is taken from an exponential tail through the quantiles p and 2p.
// `doubt` is the share of the picture that may wrongly be in or out of the tail; u is how far the percentile
// moves by that, and half of the noise correction.
[[nodiscard]] Quantity percentile(const std::vector<double>& densities, double p, double noise, double doubt);

}  // namespace platewise
