#pragma once

#include <functional>
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
  std::string scan, flat, output, report;
  std::string sixteen_bit = "linear";
  bool inverted = false;
};
void add_calibration_files(CLI::App& app, CalibrationFiles& files);
[[nodiscard]] Result<CalibrationScans> read_calibration_scans(const CalibrationFiles& files,
                                                              Console& console);

// A calibration that fails may do so because of what was assumed about the file: said with the advice.
[[nodiscard]] Problem with_assumptions(Problem problem, const Scan& scan);

// Writes the calibration file and, where asked for, the page that shows how it was come by.
[[nodiscard]] Result<void> write_calibration(const CalibrationFiles& files, const std::string& json,
                                             const std::function<Result<std::string>()>& page);

// Lines of doubt under a calibration's summary.
[[nodiscard]] std::string doubts(const Warnings& warnings);

}  // namespace platewise::cli
