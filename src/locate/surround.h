#pragma once

#include <optional>

#include "platewise/core/geometry.h"
#include "platewise/core/quantity.h"
#include "platewise/raster/image.h"

namespace platewise {

struct Surround {
  std::optional<Quantity> luminance;  // empty when uneven or absent
  bool white = false;
};

// The even ground beside the plate, away from its shadow. Linear luminance; u is the spread from place to
// place.
[[nodiscard]] Surround surround_of(const LinearImage& image, const Quad& corners_working_px);

}  // namespace platewise
