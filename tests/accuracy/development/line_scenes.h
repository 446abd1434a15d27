#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "platewise/raster/image.h"

namespace platewise::development {

// Scenes that are nothing but lines and points, for developing detectors against: what a lens draws of them
// must not pass for a fault. Linear light, 16 px/mm on a plate 100 mm wide, already as soft as a lens draws.
// Names: branches, railings, lace, hair, text, stars.
[[nodiscard]] const std::vector<std::string>& line_scene_names();
[[nodiscard]] LinearImage line_scene(const std::string& name, std::uint64_t seed, int width_px,
                                     int height_px);

// The opposite: fog, sea and sky, a plain backdrop, with hardly an edge for anything to be compared with.
[[nodiscard]] LinearImage edgeless_scene(std::uint64_t seed, int width_px, int height_px);

}  // namespace platewise::development
