#include "plate_scale.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "platewise/knowledge/plate_sizes.h"

namespace platewise {
namespace {

constexpr double kMmPerInch = 25.4;

struct Sides {
  double width = 0.0;
  double height = 0.0;
};

Sides mean_sides(const Quad& c) {
  return {0.5 * (distance(c[0], c[1]) + distance(c[3], c[2])),
          0.5 * (distance(c[0], c[3]) + distance(c[1], c[2]))};
}

// Programs write 72 or 96 when they know nothing, and a camera's figure says nothing of the plate.
std::optional<double> credible_dpi(const Scan& scan, bool photo) {
  constexpr double kNear = 0.5;
  constexpr double kLeast_dpi = 50.0;  // no flatbed scans coarser
  if (!scan.resolution_dpi || scan.from_camera || photo) return std::nullopt;
  const double dpi = *scan.resolution_dpi;
  if (std::abs(dpi - 72.0) < kNear || std::abs(dpi - 96.0) < kNear || !(dpi >= kLeast_dpi))
    return std::nullopt;
  return dpi;
}

PlateScale given_scale(const PlateSizeMm& size, Sides seen, Warnings& warnings) {
  const double short_mm = std::min(size.width, size.height);
  const double long_mm = std::max(size.width, size.height);
  PlateScale scale;
  scale.millimetres = true;
  scale.size_name = size.name;
  if (!scale.size_name) {
    if (const auto trade = nearest_plate_size(size.width, size.height))
      scale.size_name = std::string(trade->name);
  }
  const bool upright = seen.height >= seen.width;
  scale.width_units = upright ? short_mm : long_mm;
  scale.height_units = upright ? long_mm : short_mm;
  constexpr double kAspectOff = 0.10;  // cutting (1-3 mm) and weak perspective stay well below
  const double ratio = (seen.width / seen.height) / (scale.width_units / scale.height_units);
  if (std::abs(std::log(ratio)) > kAspectOff) {
    warnings.push_back(
        fmt::format("The plate that was found is {:.2f} times as wide as high, the size given says {:.2f}: "
                    "check --plate-size or --corners.",
                    seen.width / seen.height, scale.width_units / scale.height_units));
  }
  return scale;
}

std::string list_of(const std::vector<PlateSize>& sizes) {
  std::string list;
  for (const PlateSize& size : sizes) {
    list += fmt::format("{}{} ({:.0f} x {:.0f} mm)", list.empty() ? "" : ", ", size.name, size.short_mm,
                        size.long_mm);
  }
  return list;
}

PlateScale relative_scale(Sides seen, bool photo, Warnings& warnings) {
  PlateScale scale;
  const double longer = std::max(seen.width, seen.height);
  scale.width_units = 100.0 * seen.width / longer;
  scale.height_units = 100.0 * seen.height / longer;
  // Hand-cut plates vary 1-3 mm; a photo's aspect is known less well.
  const double tolerance = photo ? 0.06 : 0.03;
  const auto sizes = plate_sizes_of_aspect(seen.width, seen.height, tolerance);
  warnings.push_back(sizes.empty()
                         ? "The plate's size is not known and its shape fits no trade size: lengths are in "
                           "hundredths of its long side (--plate-size gives millimetres)."
                         : fmt::format("The plate's size is not known: lengths are in hundredths of its long "
                                       "side. By its shape it may be {}; --plate-size gives millimetres.",
                                       list_of(sizes)));
  return scale;
}

}  // namespace

double aspect_in_perspective(const Quad& corners, double width_px, double height_px) {
  const Sides mean = mean_sides(corners);
  const double plain = mean.width / mean.height;
  const double unit = std::max(width_px, height_px);
  const auto at = [&](std::size_t i) {
    return Eigen::Vector3d((corners[i].x - width_px / 2) / unit, (corners[i].y - height_px / 2) / unit, 1.0);
  };
  const Eigen::Vector3d m1 = at(0), m2 = at(1), m3 = at(3), m4 = at(2);
  const double k2 = m1.cross(m4).dot(m3) / m2.cross(m4).dot(m3);
  const double k3 = m1.cross(m4).dot(m2) / m3.cross(m4).dot(m2);
  const Eigen::Vector3d n2 = k2 * m2 - m1;
  const Eigen::Vector3d n3 = k3 * m3 - m1;
  // Both vanishing points must be near enough to carry the focal length above the corners' own error.
  constexpr double kLeastPerspective = 0.02;
  constexpr double kShortestFocal = 0.5;  // of the picture's long side: a very wide lens
  constexpr double kLongestFocal = 6.0;   // a long lens: beyond it the solution is noise
  if (std::abs(n2.z()) < kLeastPerspective || std::abs(n3.z()) < kLeastPerspective) return plain;
  const double focal2 = -(n2.x() * n3.x() + n2.y() * n3.y()) / (n2.z() * n3.z());
  if (!(focal2 > kShortestFocal * kShortestFocal) || focal2 > kLongestFocal * kLongestFocal) return plain;
  const auto length2 = [&](const Eigen::Vector3d& n) {
    return (n.x() * n.x() + n.y() * n.y()) / focal2 + n.z() * n.z();
  };
  const double aspect = std::sqrt(length2(n2) / length2(n3));
  constexpr double kMostForeshortening = 2.0;
  return std::isfinite(aspect) && std::abs(std::log(aspect / plain)) < std::log(kMostForeshortening) ? aspect
                                                                                                     : plain;
}

PlateScale plate_scale(const Scan& scan, const Quad& corners, bool photo, const LocateOptions& options,
                       Warnings& warnings) {
  Sides seen = mean_sides(corners);
  if (photo) seen.width = seen.height * aspect_in_perspective(corners, scan.width_px, scan.height_px);
  if (options.plate_size) return given_scale(*options.plate_size, seen, warnings);
  const std::optional<double> dpi = credible_dpi(scan, photo);
  if (!dpi) return relative_scale(seen, photo, warnings);
  PlateScale scale;
  scale.millimetres = true;
  scale.width_units = seen.width / *dpi * kMmPerInch;
  scale.height_units = seen.height / *dpi * kMmPerInch;
  if (const auto size = nearest_plate_size(scale.width_units, scale.height_units)) {
    scale.size_name = std::string(size->name);
  } else {
    warnings.push_back(
        fmt::format("The plate measures {:.0f} x {:.0f} mm by the scan's {:.0f} dpi and is no trade size "
                    "within {:.0f} mm.",
                    scale.width_units, scale.height_units, *dpi, kPlateSizeTolerance_mm));
  }
  return scale;
}

}  // namespace platewise
