#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "platewise/core/warnings.h"
#include "platewise/raster/image.h"

namespace platewise {

// A scan or photo as read: linear light at a working resolution, and what the file says of itself.
struct Scan {
  std::filesystem::path path;
  std::string sha256;  // of the file's bytes, lower-case hex

  int width_px = 0;  // of the full scan, after EXIF orientation
  int height_px = 0;
  int bits = 8;                // of one channel in the file
  int channels = 1;            // 1 grey, 3 colour (alpha removed)
  std::string colour_profile;  // description of the embedded profile, or what was assumed ("sRGB (assumed)")
  std::optional<double> resolution_dpi;  // as the file says, unless nonsense (<= 0, > 20000, not finite)
  bool from_camera = false;              // the file carries camera EXIF: its resolution says nothing

  LinearImage image;
  // Full-scan pixels per working pixel along either side: scan_px = scan_px_per_working_px * working_px.
  double scan_px_per_working_px = 1.0;

  Warnings warnings;
};

}  // namespace platewise
