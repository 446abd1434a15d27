#pragma once

#include "platewise/core/geometry.h"
#include "platewise/locate/locate_plate.h"
#include "platewise/locate/plate_outline.h"

namespace platewise {

// Width over height of a plane rectangle from its picture by a camera with square pixels whose principal
// point is the picture's centre; the focal length comes out of the two vanishing points. Zhang and He 2007,
// "Whiteboard scanning and image enhancement", Digital Signal Processing 17, sec. 3. Where the perspective is
// too weak to tell the focal length, the ratio of the mean side lengths.
[[nodiscard]] double aspect_in_perspective(const Quad& corners_px, double width_px, double height_px);

// The contract's rule: a given plate size, else a credible resolution matched to the trade sizes, else
// relative with the sizes of that aspect named in a warning. `corners_px` are in plate order (upright).
[[nodiscard]] PlateScale plate_scale(const Scan& scan, const Quad& corners_px, bool photo,
                                     const LocateOptions& options, Warnings& warnings);

}  // namespace platewise
