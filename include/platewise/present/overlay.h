#pragma once

#include "platewise/pipeline/plate_score.h"
#include "platewise/raster/image.h"

namespace platewise {

// The plate upright as the scan shows it, at most `long_side_px` long. Empty when no plate was found.
[[nodiscard]] ColourPicture plate_picture(const PlateScore& score, int long_side_px);

// The same with what was found drawn on it: film edge, picture area, glare, and each fault numbered as in the
// JSON; more than 12 of a kind are dots without numbers.
[[nodiscard]] ColourPicture plate_overlay(const PlateScore& score, int long_side_px);

// The whole scan with the plate's outline on it; a dot marks the upright plate's top left corner.
[[nodiscard]] ColourPicture scan_overlay(const PlateScore& score);

// What --overlay writes: the scan with its outline beside the plate with what was found on it; the scan alone
// when no plate was found.
[[nodiscard]] ColourPicture score_overlay(const PlateScore& score, int plate_long_side_px = 1400);

}  // namespace platewise
