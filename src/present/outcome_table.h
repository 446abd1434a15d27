#pragma once

#include <span>
#include <string>

#include "platewise/series/compare.h"

namespace platewise {

// Predicted against happened: for each past recommendation what was proposed, what was then done, and what
// the next plate says was needed; above it how many of the 80% intervals held. Empty without such advice.
[[nodiscard]] std::string outcome_table_html(std::span<const AdviceOutcome> outcomes);

}  // namespace platewise
