#pragma once

#include <optional>

#include "platewise/density/to_density.h"

namespace platewise {

// What a calibration needs of a plate besides its steps: where its picture lies, and the two densities that
// owe nothing to the picture, where they are seen: on the scale of the device, or of the bare scan without
// one.
struct PlateEnds {
  std::optional<Quad> picture_px;           // round the exposed picture, in the scan; empty: no plate found
  std::optional<Quantity> support_density;  // bare support at an uncovered corner or edge
  std::optional<Quantity> margin_density;   // coated rim that the holder covered
};

// Looks for them on a plate of any picture, a wedge or strips too. Empty where the plate is not found. Fails
// as to_density does.
[[nodiscard]] Result<PlateEnds> find_plate_ends(const Scan& scan, const DensityOptions& options);

}  // namespace platewise
