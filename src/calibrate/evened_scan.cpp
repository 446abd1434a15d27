#include "plate_steps.h"
#include "platewise/density/flat_field.h"

namespace platewise {

Result<Scan> evened_scan(const Scan& scan, const std::optional<Scan>& flat) {
  if (!flat) return scan;
  const auto field = flat_field(*flat, scan);
  if (!field) return tl::make_unexpected(field.error());
  Scan even = scan;
  even.image.luminance = scan.image.luminance / field->relative;
  return even;
}

}  // namespace platewise
