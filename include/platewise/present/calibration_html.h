#pragma once

#include <string>

#include "platewise/calibrate/calibrate_plate.h"
#include "platewise/calibrate/calibrate_scanner.h"
#include "platewise/core/result.h"

namespace platewise {

// The picture of a calibration: one HTML page that carries everything and loads nothing. The found steps
// outlined on the scan, the curve with its points, the residuals, the numbers, what to doubt, and the JSON.
// Fails only when the picture cannot be encoded.
[[nodiscard]] Result<std::string> scanner_calibration_html(const Scan& scan, const Wedge& wedge,
                                                           const ScannerCalibration& calibration);
[[nodiscard]] Result<std::string> plate_calibration_html(const Scan& scan,
                                                         const PlateCalibration& calibration);

}  // namespace platewise
