#pragma once

#include <set>
#include <string>

#include "platewise/pipeline/plate_score.h"

namespace platewise {

struct TextStyle {
  bool colour = false;  // only on a terminal that wants it (NO_COLOR honoured by the caller)
  int width = 80;       // columns; lines wrap here
};

// The one sentence that matters: what to do for the next plate, in seconds where the times are known, else in
// stops and percent, with the 80% range. Says plainly when there is nothing to advise.
[[nodiscard]] std::string next_plate_sentence(const PlateScore& score);

// What was measured, in a dozen short aligned lines. Doubts and cautions that `said` holds stand above
// already, at an earlier plate of the same run: they are only pointed to.
[[nodiscard]] std::string summary_text(const PlateScore& score, const TextStyle& style = {},
                                       const std::set<std::string>& said = {});

}  // namespace platewise
