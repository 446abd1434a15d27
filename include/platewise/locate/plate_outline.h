#pragma once

#include <optional>
#include <string>

#include "platewise/core/geometry.h"
#include "platewise/core/names.h"
#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"

namespace platewise {

// Where the outline comes from: seen edges, the picture's frame (a frame-filling scan that shows
// something of a plate), or the user's --corners.
enum class OutlineSource { seen, frame, given };
template <>
struct Names<OutlineSource> {
  static constexpr std::string_view all[] = {"seen", "frame", "given"};
};

// Size of the plate and what the `_units` of the plate frame are: millimetres when the scale is known,
// else the long side counts as 100.
struct PlateScale {
  bool millimetres = false;
  double width_units = 100.0;  // of the upright plate
  double height_units = 100.0;
  std::optional<std::string> size_name;  // trade size, only when millimetres
};

// The plate in the scan. Corners are the intersections of the robust lines through the four sides,
// also where a corner is rounded, clipped or broken.
struct PlateOutline {
  bool found = false;
  double confidence = 0.0;  // 0..1: the chance that all four corners are right; at most 0.6 for `frame`
  OutlineSource source = OutlineSource::seen;
  Quad corners_px{};  // TL, TR, BR, BL of the plate as viewed upright from the film side
  PlateScale scale;
  bool photo = false;  // perspective or camera EXIF: taken by a camera, not a flatbed
  // Linear luminance of an even surround (scanner lid, table paper) beside the plate; empty when the surround
  // is uneven or absent. `surround_is_white`: bright, even and neutral enough to be the white lid or paper.
  std::optional<Quantity> surround_luminance;
  bool surround_is_white = false;
  Warnings warnings;

  // Plate units -> scan pixels. Only when found.
  [[nodiscard]] Homography scan_from_plate() const;
};

}  // namespace platewise
