#pragma once

#include "dark_ground.h"

namespace platewise {

// Where the support is seen without film: darker than any film (a positive; clearer for a negative), even,
// sharply bounded by a line that is not a holder's, at the plate's edge or in a tear. Working size, 255
// inside, up to the film's edge; all zero when none is seen for certain.
[[nodiscard]] cv::Mat bare_support(const Ground& ground);

}  // namespace platewise
