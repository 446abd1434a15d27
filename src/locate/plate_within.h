#pragma once

#include "platewise/core/geometry.h"
#include "platewise/raster/image.h"

namespace platewise {

// How much of what a plate with these corners would show is there, 0..1: rim, rounded inner corner, ragged
// film edge, bare corner.
[[nodiscard]] double evidence_within(const LinearImage& image, const Quad& corners_working_px);

}  // namespace platewise
