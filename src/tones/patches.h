#pragma once

#include <optional>

#include "platewise/core/quantity.h"
#include "platewise/density/plate_density.h"
#include "platewise/raster/image.h"

namespace platewise {

// Density of something even: bare support or covered rim. Robust against dust and a leak at one side.
// `u` is that of the reading alone (spread between its parts), without the errors all densities share.
// Empty when too little of it is seen.
[[nodiscard]] std::optional<Quantity> patch_density(const PlateDensity& plate, const Mask& patch,
                                                    double least_area_units2);

}  // namespace platewise
