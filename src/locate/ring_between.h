#pragma once

#include "platewise/core/geometry.h"
#include "search_image.h"

namespace platewise {

// What lies between two nested outlines.
enum class Ring {
  plate_all_round,  // on each of the four sides one tone across that the ground has nowhere: a rim
  plate,            // the same on those sides that lie apart
  ground,           // a tone of the uneven ground on one of them: the outer line is a table's grain or joint
  unclear,
};

// Only where the sides lie apart. Corners in search pixels, both in the same order.
[[nodiscard]] Ring ring_between(const SearchImage& search, const Quad& outer, const Quad& inner);

}  // namespace platewise
