#pragma once

#include "outline_search.h"

namespace platewise {

// A plate that reaches beyond the scan has no edge of its own on that side, and the opening of its rim is as
// straight there as an edge. Its neighbouring edges tell: they go on past the opening's corners to the frame.
// Moves such sides of `candidate` to the frame.
void end_at_frame(OutlineCandidate& candidate, const SearchImage& search);

}  // namespace platewise
