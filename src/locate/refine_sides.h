#pragma once

#include <array>

#include "platewise/core/geometry.h"
#include "platewise/raster/image.h"

namespace platewise {

struct RefinedOutline {
  Quad corners_working_px{};
  std::array<double, 4> support{};     // share of each side's profiles whose edge lies on the fitted line
  std::array<double, 4> scatter_px{};  // robust deviation of the edge points from it (raggedness, noise)
  std::array<double, 4> contrast{};    // median step over its own noise, in sigmas
};

// Moves each seen side onto the plate's edge at full working resolution: profiles across the side, the
// steepest step in each, a robust line through them (Tukey weights: the middle line of a ragged edge). The
// ends are left out, so that rounded, clipped or broken corners do not bend the line; corners are
// intersections. Sides in `fixed` are kept as they are.
[[nodiscard]] RefinedOutline refined_outline(const LinearImage& image, const Quad& coarse_working_px,
                                             double coarse_error_px, const std::array<bool, 4>& fixed);

}  // namespace platewise
