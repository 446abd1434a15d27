#pragma once

#include <optional>
#include <string>

#include "platewise/core/plate.h"
#include "platewise/locate/plate_outline.h"
#include "platewise/read/scan.h"

namespace platewise {

struct PlateSizeMm {
  double width = 0.0;  // as the user names it; either orientation matches
  double height = 0.0;
  std::optional<std::string> name;  // trade size if it was given by name
};

struct LocateOptions {
  std::optional<PlateSizeMm> plate_size;  // overrides the file's resolution
  std::optional<Quad> corners_px;  // overrides the search; any order, scan pixels after EXIF orientation
  bool whole_frame = false;        // --corners frame
  int rotate_deg = 0;              // 0, 90, 180, 270: clockwise turn that brings the scan upright
  Side side = Side::film;          // glass: the scan is mirrored against the film side
};

// Finds the largest plate in a scan or photo and its scale. Never guesses which way is up.
// Not a plate: `found` is false and a warning says why and names --corners. Several plates: the largest,
// and a warning. Deterministic.
// Scale: --plate-size, else a credible resolution matched to trade sizes within 3 mm, else relative.
[[nodiscard]] PlateOutline locate_plate(const Scan& scan, const LocateOptions& options = {});

}  // namespace platewise
