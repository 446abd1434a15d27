#pragma once

#include <span>
#include <string>
#include <string_view>

#include "platewise/core/result.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise {

enum class JsonStyle { one_line, indented };

// What was found on one plate as JSON, schema "platewise.score/1" (README): UTF-8, every key always there,
// what could not be measured null. A measured value is {"value", "u"}. Numbers carry six significant digits
// and are never NaN or infinite. Bytes of a file name that are no UTF-8 become the replacement character.
[[nodiscard]] std::string score_json(const PlateScore& score, JsonStyle style = JsonStyle::one_line);

// Several plates as an array in their order.
[[nodiscard]] std::string scores_json(std::span<const PlateScore> scores,
                                      JsonStyle style = JsonStyle::one_line);

// The other way, for scores kept in a logbook or a file: everything the JSON says comes back (writing it
// again gives the same text); pictures, masks and curves are not in it. A Problem naming `where` when it is
// none.
[[nodiscard]] Result<PlateScore> score_from_json(std::string_view text, const std::string& where);

}  // namespace platewise
