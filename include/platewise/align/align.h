#pragma once

#include <optional>

#include "platewise/core/geometry.h"
#include "platewise/raster/image.h"

namespace platewise {

// How two plates of the same scene lie on each other, both in their own plate frames (units).
struct Alignment {
  Homography second_from_first;  // units to units
  int points = 0;                // matching details that agree
};

// Finds the same scene in two plates by matching details (ORB features, homography by RANSAC; Rublee et al.
// 2011, Fischler & Bolles 1981). Works on differently exposed plates of one kind. Empty when too few details
// agree (at least 25, and a quarter of the matches) or the map is no plausible camera move. Deterministic.
[[nodiscard]] std::optional<Alignment> aligned(const DensityImage& first, const Mask& first_picture,
                                               const DensityImage& second, const Mask& second_picture);

}  // namespace platewise
