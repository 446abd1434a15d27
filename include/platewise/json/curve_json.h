#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "platewise/core/result.h"
#include "platewise/density/device_curve.h"
#include "platewise/sensitometry/plate_curve.h"

namespace platewise {

// Calibrations as JSON, schemas "platewise.device/1" and "platewise.curve/1" (README). Numbers are written so
// that reading gives the very same doubles; a quantity that could not be measured is null in the file and not
// a number in the value.
[[nodiscard]] std::string device_json(const DeviceCurve& device);
[[nodiscard]] std::string plate_curve_json(const PlateCurve& curve);

// Strict: a missing key, a wrong type, a number that cannot be (infinite, negative u, a curve that turns
// back) is a Problem naming `where` and the key. Keys we do not know are left alone.
[[nodiscard]] Result<DeviceCurve> device_from_json(std::string_view text, const std::string& where);
[[nodiscard]] Result<PlateCurve> plate_curve_from_json(std::string_view text, const std::string& where);

// The same from a file of at most 16 MB.
[[nodiscard]] Result<DeviceCurve> read_device_file(const std::filesystem::path& path);
[[nodiscard]] Result<PlateCurve> read_plate_curve_file(const std::filesystem::path& path);

}  // namespace platewise
