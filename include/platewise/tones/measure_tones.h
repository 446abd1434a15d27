#pragma once

#include <optional>

#include "platewise/density/plate_density.h"
#include "platewise/raster/image.h"
#include "platewise/regions/regions.h"
#include "platewise/tones/tones.h"

namespace platewise {

struct TonesOptions {
  PlateKind kind = PlateKind::tintype;
  Quantity default_support;    // used, with its u, where no bare support is seen
  std::optional<Mask> faults;  // left out of the picture when given
};

// Measures the tones of a plate whose regions are known.
[[nodiscard]] Tones measure_tones(const PlateDensity& plate, const Regions& regions,
                                  const TonesOptions& options);

}  // namespace platewise
