#pragma once

#include "platewise/recommend/recommend.h"

namespace platewise {

// Where the time advised is longer than the sitter can hold still: the same light in `longest_s` by a wider
// lens, among the alternatives (after a strip plate, which comes first). Nothing changes where the time fits
// or no time was noted.
void offer_longest_exposure(Recommendation& advice, const PlateSettings& settings, double longest_s);

}  // namespace platewise
