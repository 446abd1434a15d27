#pragma once

#include <optional>
#include <string>

#include "command.h"
#include "platewise/read/read_scan.h"

namespace platewise::cli {

Run set_up_calibrate_scanner(CLI::App& app);
Run set_up_calibrate_plate(CLI::App& app);

// What both need: the scan itself and, when given, a blank sheet.
struct CalibrationScans {
  Scan scan;
  std::optional<Scan> flat;
};
struct CalibrationFiles {
  std::string scan, flat, output;
  std::string sixteen_bit = "linear";
  bool inverted = false;
};
void add_calibration_files(CLI::App& app, CalibrationFiles& files);
[[nodiscard]] Result<CalibrationScans> read_calibration_scans(const CalibrationFiles& files,
                                                              Console& console);

// Lines of doubt under a calibration's summary.
[[nodiscard]] std::string doubts(const Warnings& warnings);

}  // namespace platewise::cli
