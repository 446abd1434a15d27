#include "platewise/calibrate/calibrate_plate.h"

#include <fmt/format.h>

#include <cmath>

#include "calibrate_commands.h"
#include "platewise/json/curve_json.h"
#include "platewise/pipeline/plate_ends.h"
#include "platewise/present/calibration_html.h"
#include "shared_options.h"
#include "values.h"

namespace platewise::cli {
namespace {

struct PlateCommand {
  CalibrationFiles files;
  std::string wedge, strips;
  std::string strips_from = "left";
  std::string kind = "tintype";
  std::string light, backing, device, exposure, development;
};

// Everything that was typed, checked before a scan is opened.
struct Checked {
  CalibratePlateOptions options;
  std::optional<StripOptions> strips;
};

Result<Checked> checked(const PlateCommand& command) {
  Checked all;
  if (command.wedge.empty() == command.strips.empty()) {
    return failure("calibrate plate", "needs either --wedge or --strips");
  }
  if (!command.strips.empty()) {
    all.strips = StripOptions{.from = from_name<Edge>(command.strips_from).value_or(Edge::left)};
    for (const std::string& part : parts_between_commas(command.strips)) {
      const auto time = time_s(part, "--strips");
      if (!time) return tl::make_unexpected(time.error());
      all.strips->times_s.push_back(*time);
    }
  }
  CalibratePlateOptions& options = all.options;
  options.kind = from_name<PlateKind>(command.kind).value_or(PlateKind::tintype);
  const Light usual = options.kind == PlateKind::negative ? Light::transmitted : Light::reflected;
  options.light = from_name<Light>(command.light).value_or(usual);
  options.backing = from_name<Backing>(command.backing).value_or(Backing::black);
  if (!command.exposure.empty()) {
    const auto time = time_s(command.exposure, "--exposure");
    if (!time) return tl::make_unexpected(time.error());
    options.exposure_s = *time;
  }
  if (!command.development.empty()) {
    const auto time = time_s(command.development, "--development");
    if (!time) return tl::make_unexpected(time.error());
    options.development_s = *time;
  }
  return all;
}

std::string said(const Quantity& quantity, int digits) {
  if (!std::isfinite(quantity.value)) return "not measured";
  return fmt::format("{:.{}f} \u00b1{:.{}f}", quantity.value, digits, quantity.u, digits);
}

std::string summary(const PlateCommand& command, const PlateCurve& curve) {
  return fmt::format("fog {} D, gamma {}, average gradient {}\n", said(curve.fog, 2), said(curve.gamma, 2),
                     said(curve.average_gradient, 2)) +
         fmt::format("speed point at log exposure {}, exposure scale {}\n",
                     said(curve.speed_point_log_exposure, 2), said(curve.exposure_scale, 2)) +
         doubts(curve.warnings) + "The plate's curve is in " + command.files.output + "\n";
}

struct Measured {
  Scan scan;
  PlateCalibration calibration;
};

// Bare support, rim and picture area, where the plate shows them.
Result<void> look_for_ends(const Scan& scan, Checked& all) {
  CalibratePlateOptions& options = all.options;
  const Result<PlateEnds> ends = find_plate_ends(scan, {.kind = options.kind,
                                                        .light = options.light,
                                                        .backing = options.backing,
                                                        .device = options.device,
                                                        .flat = options.flat});
  if (!ends) return tl::make_unexpected(ends.error());
  options.support_density = ends->support_density;
  options.unexposed = ends->margin_density;
  if (all.strips) all.strips->picture_px = ends->picture_px;
  return {};
}

Result<Measured> measured(const PlateCommand& command, Checked all, Console& console) {
  if (!command.device.empty()) {
    Result<DeviceCurve> device = read_device_file(command.device);
    if (!device) return tl::make_unexpected(device.error());
    all.options.device = *std::move(device);
  }
  Wedge wedge;
  if (!all.strips) {
    Result<Wedge> read = read_wedge(command.wedge);
    if (!read) return tl::make_unexpected(read.error());
    wedge = *std::move(read);
  }
  Result<CalibrationScans> scans = read_calibration_scans(command.files, console);
  if (!scans) return tl::make_unexpected(scans.error());
  all.options.flat = std::move(scans->flat);
  if (const Result<void> seen = look_for_ends(scans->scan, all); !seen)
    return tl::make_unexpected(seen.error());
  Result<PlateCalibration> calibration = all.strips ? calibrate_strips(scans->scan, *all.strips, all.options)
                                                    : calibrate_plate(scans->scan, wedge, all.options);
  if (!calibration) return tl::make_unexpected(with_assumptions(calibration.error(), scans->scan));
  return Measured{std::move(scans->scan), *std::move(calibration)};
}

ExitCode run_calibrate_plate(const PlateCommand& command, Console& console) {
  Result<Checked> all = checked(command);
  if (!all) {
    console.complain(all.error());
    return ExitCode::wrong_usage;
  }
  const Result<Measured> plate = measured(command, *std::move(all), console);
  if (!plate) {
    console.complain(plate.error());
    return ExitCode::input_unusable;
  }
  const PlateCurve& curve = plate->calibration.curve;
  const Result<void> written = write_calibration(command.files, plate_curve_json(curve), [&plate] {
    return plate_calibration_html(plate->scan, plate->calibration);
  });
  if (!written) {
    console.complain(written.error());
    return ExitCode::input_unusable;
  }
  console.print(summary(command, curve));
  return ExitCode::done;
}

}  // namespace

Run set_up_calibrate_plate(CLI::App& app) {
  const auto command = std::make_shared<PlateCommand>();
  add_calibration_files(app, command->files);
  app.add_option("--wedge", command->wedge,
                 "the wedge the plate was exposed through: CSV with the header step,density[,blue_density]");
  app.add_option("--strips", command->strips,
                 "for a plate exposed in strips: the whole time of each, in order, as 2s,4s,8s,16s");
  app.add_option("--from", command->strips_from, "side where the first strip lies")
      ->check(one_of<Edge>())
      ->capture_default_str();
  app.add_option("--kind", command->kind, "tintype, ambrotype or negative")
      ->check(one_of<PlateKind>())
      ->capture_default_str();
  app.add_option("--light", command->light, "reflected or transmitted")->check(one_of<Light>());
  app.add_option("--backing", command->backing, "what lay behind an ambrotype: black or none")
      ->check(one_of<Backing>());
  app.add_option("--device", command->device, "the scanner's curve, from `platewise calibrate scanner`");
  app.add_option("--exposure", command->exposure, "time the plate was exposed: 10s");
  app.add_option("--development", command->development, "time it was developed: 20s");
  app.footer(
      "Example:\n  platewise calibrate plate curve-plate.tif --wedge wedge.csv --device scanner.json "
      "--exposure 10s --development 20s -o plate-20s.json");
  return [command](Console& console) { return run_calibrate_plate(*command, console); };
}

}  // namespace platewise::cli
