#pragma once

#include <vector>

#include "outline_search.h"
#include "refine_sides.h"

namespace platewise {

// Lowest quality of an outline that is called a plate. Of 115 desktop photographs without a plate one passes.
constexpr double kLeastQuality = 0.45;

// The chance that all four corners are right, from what was seen of the sides.
[[nodiscard]] double confidence_of(const OutlineCandidate& candidate, const RefinedOutline& refined);

// Outlines of nearly the same quality beside the first, none beside another of them.
[[nodiscard]] std::vector<Quad> others_beside(const std::vector<OutlineCandidate>& candidates);

}  // namespace platewise
