#pragma once

#include <vector>

#include "outline_search.h"

namespace platewise {

// Takes off the top what two plates in line look like together: it has the outer sides of both, and the
// ground runs through between them.
void drop_spans(std::vector<OutlineCandidate>& candidates, const SearchImage& search);

}  // namespace platewise
