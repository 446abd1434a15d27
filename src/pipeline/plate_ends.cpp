#include "platewise/pipeline/plate_ends.h"

#include <algorithm>

#include "platewise/locate/locate_plate.h"
#include "platewise/regions/find_regions.h"
#include "platewise/tones/measure_tones.h"

namespace platewise {
namespace {

// Round the picture inside the rim, or all but the edge of a plate without one.
Quad picture_px(const PlateOutline& outline, const Regions& regions) {
  Point low{0.0, 0.0};
  Point high{outline.scale.width_units, outline.scale.height_units};
  if (regions.image_area_units && !regions.image_area_units->empty()) {
    std::swap(low, high);
    for (const Point& p : *regions.image_area_units) {
      low = {std::min(low.x, p.x), std::min(low.y, p.y)};
      high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
  }
  constexpr double kInset = 0.015;  // ragged edges
  const Point inset = kInset * (high - low);
  low = low + inset;
  high = high - inset;
  const Homography scan = outline.scan_from_plate();
  return {scan({low.x, low.y}), scan({high.x, low.y}), scan({high.x, high.y}), scan({low.x, high.y})};
}

}  // namespace

Result<PlateEnds> find_plate_ends(const Scan& scan, const DensityOptions& options) {
  const PlateOutline outline = locate_plate(scan, {});
  if (!outline.found) return PlateEnds{};
  const Result<PlateDensity> plate = to_density(scan, outline, options);
  if (!plate) return tl::make_unexpected(plate.error());
  const Regions regions = find_regions(
      plate->image,
      {.kind = options.kind, .whole_frame = outline.source == OutlineSource::frame, .photo = outline.photo});
  const Tones tones = measure_tones(
      *plate, regions,
      {.kind = options.kind,
       .default_support = default_support_density(options.kind, options.light, options.backing)});
  PlateEnds ends;
  ends.picture_px = picture_px(outline, regions);
  if (tones.support_seen) ends.support_density = tones.support_density;
  ends.margin_density = tones.margin_density;
  return ends;
}

}  // namespace platewise
