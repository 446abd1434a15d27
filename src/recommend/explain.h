#pragma once

#include <span>

#include "platewise/recommend/recommend.h"
#include "process_model.h"

namespace platewise {

// Fills `because` (what was measured and what follows), in the photographer's words.
void explain(Recommendation& advice, const Tones& tones, const RecommendOptions& options,
             std::span<const ProcessState> draws);

}  // namespace platewise
