#pragma once

#include <span>
#include <string>

#include "platewise/json/score_json.h"
#include "platewise/series/compare.h"

namespace platewise {

// What changed from plate to plate as JSON, schema "platewise.series/1" (README). `from` and `to` are places
// in `plates`, counted from 0; differences are `to` minus `from`.
[[nodiscard]] std::string series_json(std::span<const PlateScore> plates, const SeriesComparison& comparison,
                                      JsonStyle style = JsonStyle::one_line);

}  // namespace platewise
