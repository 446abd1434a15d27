#pragma once

#include <optional>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"
#include "platewise/raster/image.h"

namespace platewise {

// Four different things on a plate: the plate's own edge, the film's wandering edge with bare support
// beyond it, the coated but unexposed rim that the holder covered, and the picture. All masks have the
// size of the DensityImage they were found in and do not overlap, except that `film` = rim + picture + glare.
struct Regions {
  Mask plate;    // inside the plate's edge (ragged edges and chips left out)
  Mask film;     // where collodion lies
  Mask bare;     // bare support that was SEEN: grainless, bounded by the film's flow edge or a tear
  Mask rim;      // coated, unexposed, straight-sided, carries the film's grain
  Mask picture;  // exposed picture without glare
  Mask unsure;   // part of `picture`: as dark as the rim or darker and one with it. Bare support or empty
                 // shadow
  Mask glare;    // mirror reflections of the light, no measurement there
  std::optional<Polygon> image_area_units;  // outline of the picture; empty when no rim was seen
  double covered_fraction = 1.0;            // film share of the plate
  std::vector<Corner> uncovered_corners;
  double grain_density = 0.0;  // one sigma of the film's grain in one pixel, robust
  Warnings warnings;
};

}  // namespace platewise
