#pragma once

#include "platewise/core/plate.h"
#include "platewise/regions/regions.h"

namespace platewise {

struct RegionsOptions {
  PlateKind kind = PlateKind::tintype;
  bool whole_frame = false;  // the outline is the picture's frame: parts of rim and edge may lie outside
  bool photo = false;        // taken by a camera: look for glare
};

// Separates plate edge, bare support, rim and picture in a rectified density image. Adding a constant to
// all densities changes nothing, so it may run before the density offset is known; glare alone is told by
// the camera's full scale (density 0).
[[nodiscard]] Regions find_regions(const DensityImage& plate, const RegionsOptions& options);

// What of a plate is seen in a picture that fills its frame: evidence that a frame-filling scan is a plate at
// all (coated rim, rounded inner corner, ragged film edge, bare corner). 0 none .. 1 certain.
[[nodiscard]] double plate_evidence(const DensityImage& frame, PlateKind kind);

}  // namespace platewise
