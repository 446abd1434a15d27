#pragma once

#include "platewise/pipeline/plate_score.h"
#include "values.h"

namespace platewise::json {

// One plate as in "platewise.score/1".
[[nodiscard]] Json score_document(const PlateScore& score);

}  // namespace platewise::json
