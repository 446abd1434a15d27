#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <string>

#include "platewise/demo/render_plate.h"
#include "platewise/density/to_density.h"
#include "platewise/read/read_scan.h"
#include "platewise/tones/measure_tones.h"

namespace platewise {

// A rendered plate with everything a tone measurement needs, outline and regions being true.
struct RenderedPlate {
  PlateTruth truth;
  Scan scan;
  PlateOutline outline;
  PlateRendering rendering;
  std::optional<DeviceCurve> device;
};

// Writes the rendering as its file and reads it back.
[[nodiscard]] RenderedPlate rendered(const PlateOptions& options, const std::string& name);

// What a perfect find_regions would return on a plate of `size` pixels.
[[nodiscard]] Regions true_regions(const PlateRendering& rendering, int width, int height, double px_per_mm);

// The device file that a perfect wedge scan would give for this device.
[[nodiscard]] DeviceCurve true_device(const DeviceModel& device, Light light);

[[nodiscard]] Tones tones_of(const RenderedPlate& plate);

}  // namespace platewise
