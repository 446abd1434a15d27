#pragma once

#include "platewise/core/geometry.h"
#include "search_image.h"

namespace platewise {

// What lies between two nested outlines.
enum class Ring {
  plate,   // one tone across that the ground has nowhere: a rim
  ground,  // a tone of the uneven ground: the outer line is the grain of a table, or a board's joint
  unclear,
};

// Only where the sides lie apart. Corners in search pixels, both in the same order.
[[nodiscard]] Ring ring_between(const SearchImage& search, const Quad& outer, const Quad& inner);

}  // namespace platewise
