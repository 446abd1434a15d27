#pragma once

#include <string_view>

// Headings of the calibration pages; what they share with the other reports is in ../words.h.
namespace platewise::words {

inline constexpr std::string_view kScannerPage = "Calibration of a scanner";
inline constexpr std::string_view kPlatePage = "Calibration of a plate";
inline constexpr std::string_view kCalibrationCurve = "Curve and residuals";
inline constexpr std::string_view kMeasured = "Measured";
inline constexpr std::string_view kSteps = "Steps";

}  // namespace platewise::words
