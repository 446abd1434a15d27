#include "platewise/calibrate/calibrate_scanner.h"

#include <fmt/format.h>

#include <algorithm>

#include "calibrate_commands.h"
#include "platewise/json/curve_json.h"
#include "platewise/present/calibration_html.h"
#include "shared_options.h"

namespace platewise::cli {
namespace {

struct ScannerCommand {
  CalibrationFiles files;
  std::string wedge;
  std::string light = "reflected";
};

std::string summary(const ScannerCommand& command, const ScannerCalibration& calibration) {
  const DeviceCurve& device = calibration.device;
  const auto used = std::count(calibration.used.begin(), calibration.used.end(), true);
  return fmt::format(
             "{} of {} steps used; densities {:.2f} to {:.2f} can be read\n"
             "largest residual {:.3f} D; steps left out are predicted within {:.3f} D (rms); flare {:.2f}% "
             "of "
             "full scale\n",
             used, calibration.used.size(), device.range_min, device.range_max, device.max_residual_density,
             calibration.left_out_rms, 100.0 * device.flare) +
         doubts(device.warnings) + "The scanner's curve is in " + command.files.output + "\n";
}

Result<std::string> calibrate(const ScannerCommand& command, Console& console) {
  const Result<Wedge> wedge = read_wedge(command.wedge);
  if (!wedge) return tl::make_unexpected(wedge.error());
  Result<CalibrationScans> scans = read_calibration_scans(command.files, console);
  if (!scans) return tl::make_unexpected(scans.error());
  const CalibrateScannerOptions options{.light = from_name<Light>(command.light).value_or(Light::reflected),
                                        .flat = std::move(scans->flat)};
  const auto calibration = calibrate_scanner(scans->scan, *wedge, options);
  if (!calibration) return tl::make_unexpected(with_assumptions(calibration.error(), scans->scan));
  const Result<void> written = write_calibration(command.files, device_json(calibration->device), [&] {
    return scanner_calibration_html(scans->scan, *wedge, *calibration);
  });
  if (!written) return tl::make_unexpected(written.error());
  return summary(command, *calibration);
}

}  // namespace

Run set_up_calibrate_scanner(CLI::App& app) {
  const auto command = std::make_shared<ScannerCommand>();
  add_calibration_files(app, command->files);
  app.add_option("--wedge", command->wedge, "the wedge's densities: CSV with the header step,density")
      ->required();
  app.add_option("--light", command->light, "reflected, or transmitted for a wedge on film or glass")
      ->check(one_of<Light>())
      ->capture_default_str();
  app.footer("Example:\n  platewise calibrate scanner wedge.tif --wedge wedge.csv -o scanner.json");
  return [command](Console& console) {
    const Result<std::string> text = calibrate(*command, console);
    if (text) {
      console.print(*text);
    } else {
      console.complain(text.error());
    }
    return text ? ExitCode::done : ExitCode::input_unusable;
  };
}

}  // namespace platewise::cli
