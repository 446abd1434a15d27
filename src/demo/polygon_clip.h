#pragma once

#include "platewise/core/geometry.h"

namespace platewise {

// The part of an outline inside (0,0)-(width,height) (Sutherland and Hodgman 1974).
[[nodiscard]] Polygon clipped_to_rectangle(const Polygon& outline, double width, double height);

}  // namespace platewise
