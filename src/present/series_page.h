#pragma once

#include <span>
#include <string>

#include "platewise/core/result.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise {

// What a series' page says before its single plates: the plates side by side with the sentence for the next
// one, two plates laid on one another, fog and exposure over the series, what changed from plate to
// plate, and how past advice fared.
[[nodiscard]] Result<std::string> series_html(std::span<const PlateScore> plates);

}  // namespace platewise
