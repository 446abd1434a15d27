#pragma once

#include "platewise/recommend/recommend.h"

namespace platewise {

// Fills `alternatives`: other ways to the same end in the photographer's words. First what must be mended (a
// leak), then the strip plate where the plate says too little or more is asked than one plate can tell; then
// what helps against fog that time does not explain, the lens instead of time, light and collodion.
void offer_alternatives(Recommendation& advice, const Tones& tones, const RecommendOptions& options);

}  // namespace platewise
