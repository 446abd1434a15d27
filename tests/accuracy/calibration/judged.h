#pragma once

#include <cstdint>

#include "accuracy/calibration/errors.h"
#include "accuracy/calibration/photographer.h"
#include "platewise/calibrate/calibrate_scanner.h"
#include "platewise/sensitometry/plate_curve.h"

namespace platewise::simulated {

// A device file held against the scanner it was made with.
struct JudgedDevices {
  Errors steps16, steps8, between16, between8;
  Errors left_out16, left_out8;

  void add(const Photographer& who, const ScannerCalibration& calibration, std::uint64_t seed);
  void print() const;
};

// A plate's curve held against the material it was made of.
struct JudgedCurves {
  Errors gamma, speed, fog, gradient, scale, least, most;

  // `weakest_log_exposure`: of the steps; log exposure 0 is the strongest.
  void add(const Photographer& who, const PlateCurve& curve, double weakest_log_exposure, std::uint64_t seed);
  void print() const;
};

}  // namespace platewise::simulated
