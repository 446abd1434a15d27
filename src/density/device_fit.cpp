#include "platewise/density/device_fit.h"

#include <fmt/core.h>

#include <cmath>

namespace platewise {
namespace {

constexpr std::size_t kFewestKnots = 2;
constexpr double kSameResolution = 0.02;  // files round their resolution

bool other_resolution(const DeviceCurve& device, const Scan& scan) {
  if (!device.resolution_dpi || !scan.resolution_dpi) return false;
  return std::abs(*scan.resolution_dpi / *device.resolution_dpi - 1.0) > kSameResolution;
}

}  // namespace

Result<Warnings> device_fits(const DeviceCurve& device, const Scan& scan, const DensityOptions& options) {
  const std::string where = scan.path.string();
  if (device.knots.size() < kFewestKnots) {
    return failure(where, "the device file holds no curve",
                   "make it again with `platewise calibrate scanner`");
  }
  if (device.light != options.light) {
    return failure(where,
                   fmt::format("the device file was made by {} light, but this plate is scanned by {} light",
                               name_of(device.light), name_of(options.light)),
                   fmt::format("scan a wedge by {} light for it, or say --light {}", name_of(options.light),
                               name_of(device.light)));
  }
  Warnings warnings;
  if (device.bits != scan.bits) {
    warnings.push_back(
        fmt::format("the device file was made from a {}-bit scan, this scan has {} bits: "
                    "its densities may be off",
                    device.bits, scan.bits));
  }
  if (!device.colour_profile.empty() && device.colour_profile != scan.colour_profile) {
    warnings.push_back(
        fmt::format("the device file was made with the colour profile '{}', this scan has '{}': "
                    "its densities may be off",
                    device.colour_profile, scan.colour_profile));
  }
  if (other_resolution(device, scan)) {
    warnings.push_back(
        fmt::format("the device file was made at {:.0f} dpi, this scan has {:.0f} dpi: "
                    "its densities may be off",
                    *device.resolution_dpi, *scan.resolution_dpi));
  }
  if (device.flat_fielded != options.flat.has_value()) {
    warnings.emplace_back(
        device.flat_fielded
            ? "the device file was made with a blank sheet (--flat), this plate was measured without: "
              "uneven light is not taken out"
            : "the device file was made without a blank sheet, this plate was measured with one (--flat): "
              "all densities may be off by a common amount");
  }
  return warnings;
}

}  // namespace platewise
