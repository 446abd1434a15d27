#pragma once

#include <optional>

#include "platewise/core/plate.h"
#include "platewise/core/result.h"
#include "platewise/density/device_curve.h"
#include "platewise/density/plate_density.h"
#include "platewise/locate/plate_outline.h"
#include "platewise/read/scan.h"
#include "platewise/regions/regions.h"

namespace platewise {

struct DensityOptions {
  PlateKind kind = PlateKind::tintype;
  Light light = Light::reflected;
  Backing backing = Backing::black;
  std::optional<DeviceCurve> device;
  std::optional<Scan> flat;  // a blank sheet in the same light and the same framing
  double px_per_mm = 12.0;   // of the rectified plate; never finer than the working scan
};

// Rectifies the plate once and turns linear light into density: through the device curve, else
// D = -log10(linear). Flat-fields by `flat` first. Fails when a device file does not fit the scan (light
// mode).
[[nodiscard]] Result<PlateDensity> to_density(const Scan& scan, const PlateOutline& outline,
                                              const DensityOptions& options);

// Estimates the common offset of an uncalibrated plate from what is not picture, and adds it.
//   blank sheet (flat): paper 0.07 +- 0.04 D;  white surround: 0.07 +- 0.06 D;  bare support of a
//   tintype 1.35 +- 0.15, bare glass of a negative 0.04 +- 0.02 (all common practice, no source); prior 0 +-
//   0.25.
// Never from the picture's own tones, never from the rim. Does nothing to calibrated plates.
[[nodiscard]] PlateDensity anchored(PlateDensity plate, const Scan& scan, const PlateOutline& outline,
                                    const Regions& regions, const DensityOptions& options);

// Default density of the bare support where none is seen: tintype 1.35 +- 0.15, ambrotype over black 1.35 +-
// 0.20, glass without backing or negative 0.04 +- 0.02 (common practice, no source).
[[nodiscard]] Quantity default_support_density(PlateKind kind, Light light, Backing backing);

}  // namespace platewise
