#pragma once

#include "platewise/core/result.h"
#include "platewise/core/warnings.h"
#include "platewise/density/to_density.h"

namespace platewise {

// Whether a device file may be used for this scan. Another way of lighting, or a file without points: a
// Problem. Another bit depth, profile, resolution or flat-fielding: warnings.
[[nodiscard]] Result<Warnings> device_fits(const DeviceCurve& device, const Scan& scan,
                                           const DensityOptions& options);

}  // namespace platewise
