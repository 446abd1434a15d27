#pragma once

#include <vector>

#include "platewise/tones/tones.h"

namespace platewise {

// Shares of the picture in bins of 0.02 D, from 0 to 2 D and further where the picture reaches further.
[[nodiscard]] DensityHistogram density_histogram(const std::vector<double>& densities);

}  // namespace platewise
