#pragma once

#include <vector>

#include "outline_search.h"

namespace platewise {

// Best first, and no more than are worth a second look.
void keep_best(std::vector<OutlineCandidate>& candidates);

// Among nested outlines that lie within a rim's width of the best one, the outermost comes first: the rim's
// inner edge is as straight as the plate's own and often stronger. Not where the ground lies between them.
void put_outermost_first(std::vector<OutlineCandidate>& candidates, const SearchImage& search);

}  // namespace platewise
