#pragma once

#include <optional>

#include "platewise/calibrate/find_steps.h"
#include "platewise/calibrate/wedge.h"
#include "platewise/core/plate.h"
#include "platewise/density/device_curve.h"

namespace platewise {

struct CalibrateScannerOptions {
  Light light = Light::reflected;
  std::optional<Scan> flat;  // a blank sheet in the same light and framing
};

struct ScannerCalibration {
  DeviceCurve device;
  FoundSteps found;        // where the steps lie, all of the wedge, for the picture of the calibration
  std::vector<bool> used;  // of the found steps: false where saturated or not told apart
  std::vector<double>
      residuals;              // density by the curve through the other steps minus the wedge's; used steps
  double left_out_rms = 0.0;  // rms residual of steps predicted from the others only
};

// Turns the scan of a step wedge into the device's signal -> density curve.
// Two curves are tried, and the one that predicts left-out steps better is kept:
//   pooled steps (isotonic), joined by a shape-preserving cubic in log signal;
//   light = flare + gain * 10^(-contrast * density), three numbers.
// End steps where a code value of the file, or a noise sigma of the step's mean, is worth more than 0.02 D
// are dropped with a warning, and the range ends there. Fails when fewer than 5 steps are left, or as
// find_steps does.
[[nodiscard]] Result<ScannerCalibration> calibrate_scanner(const Scan& scan, const Wedge& wedge,
                                                           const CalibrateScannerOptions& options);

}  // namespace platewise
