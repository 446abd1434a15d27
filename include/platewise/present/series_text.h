#pragma once

#include <span>
#include <string>

#include "platewise/series/compare.h"

namespace platewise {

// A table of the plates' tones, what changed from plate to plate, and what the control charts say.
[[nodiscard]] std::string series_text(std::span<const PlateScore> plates, const SeriesComparison& comparison);

}  // namespace platewise
