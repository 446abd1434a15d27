// From options as typed to checked requests.
#include <fmt/format.h>

#include "asked.h"
#include "inputs.h"
#include "platewise/json/curve_json.h"
#include "settings_file.h"
#include "shared_options.h"
#include "values.h"

namespace platewise::cli {
namespace {

tl::unexpected<Refusal> wrong_usage(const Problem& problem) {
  return tl::make_unexpected(Refusal{ExitCode::wrong_usage, problem});
}
tl::unexpected<Refusal> unusable(const Problem& problem) {
  return tl::make_unexpected(Refusal{ExitCode::input_unusable, problem});
}

using Checked = tl::expected<void, Refusal>;

Checked set_geometry(const SharedOptions& options, LocateOptions& locate) {
  if (!options.plate_size.empty()) {
    auto size = plate_size(options.plate_size, "--plate-size");
    if (!size) return wrong_usage(size.error());
    locate.plate_size = *std::move(size);
  }
  locate.whole_frame = options.corners == "frame";
  if (!options.corners.empty() && !locate.whole_frame) {
    const auto corners = corners_px(options.corners, "--corners");
    if (!corners) return wrong_usage(corners.error());
    locate.corners_px = *corners;
  }
  if (!options.rotate.empty()) locate.rotate_deg = static_cast<int>(*number_in(options.rotate));
  locate.side = from_name<Side>(options.side).value_or(Side::film);
  return {};
}

Checked set_subject(const SharedOptions& options, ScoreOptions& score) {
  if (options.subject.empty()) return {};
  const auto subject = numbers(options.subject, 4, "--subject", "x,y,width,height in mm, as 20,15,40,60");
  if (!subject) return wrong_usage(subject.error());
  score.subject_mm = SubjectBox{(*subject)[0], (*subject)[1], (*subject)[2], (*subject)[3]};
  return {};
}

Checked set_calibrations(const SharedOptions& options, ScoreOptions& score) {
  if (!options.device.empty()) {
    auto device = read_device_file(options.device);
    if (!device) return unusable(device.error());
    score.device = *std::move(device);
  }
  for (const std::string& path : options.curves) {
    auto curve = read_plate_curve_file(path);
    if (!curve) return unusable(curve.error());
    score.curves.push_back(*std::move(curve));
  }
  return {};
}

tl::expected<ScoreOptions, Refusal> common_options(const SharedOptions& options) {
  ScoreOptions score;
  score.kind = from_name<PlateKind>(options.kind).value_or(PlateKind::tintype);
  score.light = from_name<Light>(options.light);
  score.backing = from_name<Backing>(options.backing).value_or(Backing::black);
  score.state = from_name<PlateState>(options.state).value_or(PlateState::varnished);
  score.handling.dip_edge = from_name<Edge>(options.dip_edge);
  score.handling.drain_corner = from_name<Corner>(options.drain_corner);
  score.read.inverted = options.inverted;
  score.read.unprofiled_16_bit =
      from_name<UnprofiledSixteenBit>(options.sixteen_bit).value_or(UnprofiledSixteenBit::linear);
  score.read.scan_pixels_max = options.megapixels_max * 1e6;
  if (!options.flat.empty()) score.flat = options.flat;
  if (!options.reference.empty()) score.reference = options.reference;
  if (const Checked geometry = set_geometry(options, score.locate); !geometry) {
    return tl::make_unexpected(geometry.error());
  }
  if (const Checked subject = set_subject(options, score); !subject) {
    return tl::make_unexpected(subject.error());
  }
  if (const Checked calibrations = set_calibrations(options, score); !calibrations) {
    return tl::make_unexpected(calibrations.error());
  }
  return score;
}

// One value for all plates, or one each in their order.
using Reader = Result<double> (*)(std::string_view, const std::string&);
Result<std::vector<double>> value_for_each(const std::string& text, std::size_t plates, Reader read,
                                           const std::string& option) {
  std::vector<double> values;
  for (const std::string& part : parts_between_commas(text)) {
    const auto value = read(part, option);
    if (!value) return tl::make_unexpected(value.error());
    values.push_back(*value);
  }
  if (values.size() == 1) values.resize(plates, values.front());
  if (values.size() == plates) return values;
  return failure(option,
                 fmt::format("gives {} values for {} scan{}", values.size(), plates, plates == 1 ? "" : "s"),
                 "one for all, or one each in the order of the scans");
}

Checked set_noted(const SharedOptions& options, std::vector<PlateRequest>& requests) {
  struct Noted {
    const std::string& text;
    Reader read;
    const char* option;
    std::optional<double> PlateSettings::*field;
  };
  const Noted kNoted[] = {
      {options.exposure, time_s, "--exposure", &PlateSettings::exposure_s},
      {options.development, time_s, "--development", &PlateSettings::development_s},
      {options.aperture, f_number, "--aperture", &PlateSettings::aperture},
      {options.meter, exposure_value, "--meter", &PlateSettings::meter_ev},
      {options.bellows, bellows_ratio, "--bellows", &PlateSettings::bellows_ratio},
      {options.reciprocity, schwarzschild_p, "--reciprocity", &PlateSettings::schwarzschild_p}};
  for (const Noted& noted : kNoted) {
    if (noted.text.empty()) continue;
    const auto values = value_for_each(noted.text, requests.size(), noted.read, noted.option);
    if (!values) return wrong_usage(values.error());
    for (std::size_t i = 0; i < requests.size(); ++i) {
      requests[i].options.settings.*noted.field = (*values)[i];
    }
  }
  return {};
}

// Remarks may hold commas: as many parts as scans are one each, anything else is one remark for all.
void set_notes(const SharedOptions& options, std::vector<PlateRequest>& requests) {
  if (options.note.empty()) return;
  const std::vector<std::string> parts = parts_between_commas(options.note);
  const bool one_each = requests.size() > 1 && parts.size() == requests.size();
  for (std::size_t i = 0; i < requests.size(); ++i) {
    requests[i].options.note = one_each ? parts[i] : options.note;
  }
}

Checked set_listed(const SharedOptions& options, std::vector<PlateRequest>& requests) {
  if (options.settings.empty()) return {};
  const auto list = SettingsList::read(options.settings);
  if (!list) return unusable(list.error());
  for (PlateRequest& request : requests) {
    if (const NotedPlate* plate = list->find(request.path)) {
      request.options.settings = plate->settings;
      request.options.note = plate->note;
      if (plate->kind) request.options.kind = *plate->kind;
      if (plate->plate_size) request.options.locate.plate_size = plate->plate_size;
    } else {
      request.warnings.push_back(fmt::format("The list {} says nothing of this scan.", options.settings));
    }
  }
  return {};
}

// A curve speaks only for plates of its own kind; one that fits none of the scans is a slip.
Checked keep_fitting_curves(std::vector<PlateRequest>& requests) {
  bool any_given = false;
  bool any_kept = false;
  for (PlateRequest& request : requests) {
    auto& curves = request.options.curves;
    any_given = any_given || !curves.empty();
    const std::size_t dropped =
        std::erase_if(curves, [&](const PlateCurve& curve) { return curve.kind != request.options.kind; });
    any_kept = any_kept || !curves.empty();
    if (dropped > 0) {
      request.warnings.push_back(
          fmt::format("A --curve was left out: it is not of the kind {}.", name_of(request.options.kind)));
    }
  }
  if (any_given && !any_kept) {
    return wrong_usage({"--curve", "is not of the kind of any of these scans", "say --kind"});
  }
  return {};
}

}  // namespace

tl::expected<std::vector<PlateRequest>, Refusal> requests_of(const SharedOptions& options) {
  const auto common = common_options(options);
  if (!common) return tl::make_unexpected(common.error());
  std::vector<PlateRequest> requests;
  for (const std::filesystem::path& scan : pictures_in(options.scans)) {
    requests.push_back({scan, *common, {}, ""});
  }
  // The command line has the last word over the list.
  if (const Checked listed = set_listed(options, requests); !listed)
    return tl::make_unexpected(listed.error());
  if (const Checked curves = keep_fitting_curves(requests); !curves)
    return tl::make_unexpected(curves.error());
  if (const Checked noted = set_noted(options, requests); !noted) return tl::make_unexpected(noted.error());
  set_notes(options, requests);
  set_asked(options, requests);
  return requests;
}

}  // namespace platewise::cli
