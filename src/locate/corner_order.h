#pragma once

#include "platewise/core/geometry.h"
#include "platewise/locate/locate_plate.h"

namespace platewise {

[[nodiscard]] Quad scaled(const Quad& quad, double factor);

// Any four corners into the order top left, top right, bottom right, bottom left.
[[nodiscard]] Quad in_reading_order(Quad corners);

// Renames the scan's corners as seen upright and from the film side.
[[nodiscard]] Quad in_plate_order(const Quad& scan_order, const LocateOptions& options);

// A flatbed shows right angles, a camera's perspective does not.
[[nodiscard]] bool in_perspective(const Quad& corners);

}  // namespace platewise
