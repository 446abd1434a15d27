#pragma once

#include <span>
#include <string>

#include "platewise/core/result.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise {

// The correction report: one HTML page that carries its pictures, style, script and data and loads nothing.
// Plates in the order made; the first screen speaks of the last one, for it decides the next plate.
// Fails only when a picture cannot be encoded.
[[nodiscard]] Result<std::string> report_html(std::span<const PlateScore> plates);

}  // namespace platewise
