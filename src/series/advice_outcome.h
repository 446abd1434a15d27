#pragma once

#include <span>
#include <vector>

#include "platewise/series/compare.h"

namespace platewise {

// Predicted against happened, for each plate with advice and the plate after it.
[[nodiscard]] std::vector<AdviceOutcome> advice_outcomes(std::span<const PlateScore> plates);

}  // namespace platewise
