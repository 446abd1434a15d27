#pragma once

#include "platewise/raster/image.h"

namespace platewise {

// How many pictures of one size lie in a row on the plate (a stereo pair, three exposures of one scene), in a
// rectified density image; 1 where they cannot be told. Seen by the scene coming again at equal distances,
// with straight borders across the plate between.
[[nodiscard]] int frames_on(const DensityImage& plate);

}  // namespace platewise
