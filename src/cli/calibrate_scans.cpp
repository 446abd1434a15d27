#include "calibrate_commands.h"
#include "platewise/write/write_file.h"
#include "shared_options.h"

namespace platewise::cli {

void add_calibration_files(CLI::App& app, CalibrationFiles& files) {
  app.add_option("SCAN", files.scan, "the scan or photo")->required();
  app.add_option("-o,--output", files.output, "the calibration file to write")->required();
  app.add_option("--report", files.report,
                 "also write a page (HTML) with the steps outlined on the scan, curve and residuals");
  app.add_option("--flat", files.flat, "scan of a blank sheet in the same light and framing");
  app.add_flag("--inverted", files.inverted, "the scan was already turned into a positive");
  app.add_option("--sixteen-bit", files.sixteen_bit,
                 "what 16-bit values without a colour profile are: linear or gamma (sRGB)")
      ->check(one_of<UnprofiledSixteenBit>())
      ->capture_default_str();
}

Result<CalibrationScans> read_calibration_scans(const CalibrationFiles& files, Console& console) {
  ReadOptions options;
  options.inverted = files.inverted;
  options.unprofiled_16_bit =
      from_name<UnprofiledSixteenBit>(files.sixteen_bit).value_or(UnprofiledSixteenBit::linear);
  options.progress = [&console](double done) { console.progress(done, "reading the scan"); };
  Result<Scan> scan = read_scan(files.scan, options);
  console.clear_progress();
  if (!scan) return tl::make_unexpected(scan.error());
  CalibrationScans scans{*std::move(scan), std::nullopt};
  if (files.flat.empty()) return scans;
  Result<Scan> flat = read_scan(files.flat, options);
  if (!flat) return tl::make_unexpected(flat.error());
  scans.flat = *std::move(flat);
  return scans;
}

Problem with_assumptions(Problem problem, const Scan& scan) {
  for (const std::string& warning : scan.warnings) {
    problem.remedy +=
        (problem.remedy.empty() ? "" : ". ") + warning.substr(0, warning.find_last_not_of('.') + 1);
  }
  return problem;
}

Result<void> write_calibration(const CalibrationFiles& files, const std::string& json,
                               const std::function<Result<std::string>()>& page) {
  Result<void> written = write_file(files.output, json);
  if (!written || files.report.empty()) return written;
  const Result<std::string> html = page();
  if (!html) return tl::make_unexpected(html.error());
  return write_file(files.report, *html);
}

std::string doubts(const Warnings& warnings) {
  std::string text;
  for (const std::string& warning : warnings) text += "  ! " + warning + "\n";
  return text;
}

}  // namespace platewise::cli
