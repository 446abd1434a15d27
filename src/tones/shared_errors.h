#pragma once

#include "platewise/core/quantity.h"
#include "platewise/density/plate_density.h"

namespace platewise {

// A reading with the errors that all densities share.
[[nodiscard]] Quantity with_shared(Quantity reading, const PlateDensity& plate);

// sign * (a - b), whose shared errors mostly cancel.
[[nodiscard]] Quantity difference(Quantity a, Quantity b, double sign, const PlateDensity& plate);

}  // namespace platewise
