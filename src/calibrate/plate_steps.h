#pragma once

#include <optional>

#include "platewise/calibrate/calibrate_plate.h"
#include "platewise/sensitometry/fit_curve.h"

namespace platewise {

// The scan with uneven light taken out by the blank sheet, if there is one.
[[nodiscard]] Result<Scan> evened_scan(const Scan& scan, const std::optional<Scan>& flat);

// What does not fit between the device file and the scan; a Problem where it must not be used.
[[nodiscard]] Result<Warnings> device_warnings(const Scan& scan, const CalibratePlateOptions& options);

// What the curve fit is told of the plate.
[[nodiscard]] CurveOptions curve_options(const CalibratePlateOptions& options);

// Density of a measured step through the device curve, else -log10(signal).
[[nodiscard]] Quantity step_density(const FoundStep& step, const std::optional<DeviceCurve>& device);

// The curve through the steps, its u widened by what the bare scan, or the wedge's other material, leaves
// open.
[[nodiscard]] Result<PlateCurve> fitted_curve(const std::vector<CurveStep>& steps, CurveOptions of_curve,
                                              const Scan& scan, const CalibratePlateOptions& options);

}  // namespace platewise
