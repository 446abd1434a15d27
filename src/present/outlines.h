#pragma once

#include <string>

#include "platewise/pipeline/plate_score.h"

namespace platewise {

// The picture's edge and the faults as an SVG to lie on the plate: outlines with their numbers, or dots,
// squares and triangles for kinds that are shown as one.
[[nodiscard]] std::string outlines_svg(const PlateScore& score);

// What the dots, squares and triangles on the plate stand for, a sentence each; empty when there are none.
[[nodiscard]] std::string dots_legend(const PlateScore& score);

}  // namespace platewise
