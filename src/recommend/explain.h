#pragma once

#include <span>

#include "platewise/recommend/recommend.h"
#include "process_model.h"

namespace platewise {

// Fills `because` (what was measured and what follows) and `alternatives` (other ways to the same end, the
// strip plate first where the plate says too little), in the photographer's words.
void explain(Recommendation& advice, const Tones& tones, const RecommendOptions& options,
             std::span<const ProcessState> draws);

}  // namespace platewise
