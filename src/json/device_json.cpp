#include "document.h"
#include "fields.h"
#include "platewise/json/curve_json.h"
#include "values.h"

namespace platewise {
namespace {

using json::exact;
using json::Fields;
using json::Json;

constexpr const char* kSchema = "platewise.device/1";

Json curve_object(const std::vector<DeviceCurve::Knot>& knots) {
  Json log_signal = Json::array();
  Json density = Json::array();
  Json u = Json::array();
  for (const DeviceCurve::Knot& knot : knots) {
    log_signal.push_back(exact(knot.log_signal));
    density.push_back(exact(knot.density));
    u.push_back(exact(knot.u));
  }
  return {{"interpolation", "monotone cubic in log10 of the signal"},
          {"log10_signal", log_signal},
          {"density", density},
          {"u", u}};
}

std::vector<DeviceCurve::Knot> knots_of(const Fields& curve) {
  const std::vector<double> log_signal = curve.numbers("log10_signal");
  const std::vector<double> density = curve.numbers("density");
  const std::vector<double> u = curve.numbers("u");
  if (log_signal.size() != density.size() || log_signal.size() != u.size() || log_signal.size() < 2) {
    curve.complain("log10_signal", "must have as many entries as density and u, at least two");
    return {};
  }
  std::vector<DeviceCurve::Knot> knots;
  for (std::size_t i = 0; i < log_signal.size(); ++i) {
    if (u[i] < 0.0) curve.complain("u", "cannot be negative");
    if (i > 0 && log_signal[i] <= log_signal[i - 1]) curve.complain("log10_signal", "must rise");
    if (i > 0 && density[i] > density[i - 1]) curve.complain("density", "must fall where the signal rises");
    knots.push_back({log_signal[i], density[i], u[i]});
  }
  return knots;
}

std::vector<DeviceStep> steps_of(const Fields& fields) {
  std::vector<DeviceStep> steps;
  for (const Fields& step : fields.objects("steps")) {
    steps.push_back({step.number("density"), step.number("signal"), step.number("u", json::kNotNegative)});
  }
  return steps;
}

}  // namespace

std::string device_json(const DeviceCurve& device) {
  Json steps = Json::array();
  for (const DeviceStep& step : device.steps) {
    steps.push_back({{"density", exact(step.density)}, {"signal", exact(step.signal)}, {"u", exact(step.u)}});
  }
  const Json document = {{"schema", kSchema},
                         {"steps", steps},
                         {"density_of_signal", curve_object(device.knots)},
                         {"range", {{"min", exact(device.range_min)}, {"max", exact(device.range_max)}}},
                         {"max_residual_density", exact(device.max_residual_density)},
                         {"flare", exact(device.flare)},
                         {"material_u", exact(device.material_u)},
                         {"light", name_of(device.light)},
                         {"bits", device.bits},
                         {"colour_profile", device.colour_profile},
                         {"resolution_dpi", exact(device.resolution_dpi)},
                         {"flat_fielded", device.flat_fielded},
                         {"warnings", device.warnings}};
  return json::written(document, JsonStyle::indented) + "\n";
}

Result<DeviceCurve> device_from_json(std::string_view text, const std::string& where) {
  const Result<nlohmann::json> document = json::parsed(text, where);
  if (!document) return tl::make_unexpected(document.error());
  json::Complaint complaint(where);
  const Fields fields(*document, "", complaint);
  fields.expect_schema(kSchema);
  DeviceCurve device;
  device.steps = steps_of(fields);
  device.knots = knots_of(fields.object("density_of_signal"));
  const Fields range = fields.object("range");
  device.range_min = range.number("min");
  device.range_max = range.number("max");
  if (device.range_max < device.range_min) range.complain("max", "is less than the least");
  device.max_residual_density = fields.number("max_residual_density", json::kNotNegative);
  device.flare = fields.number("flare", json::kShare);
  device.material_u = fields.number_or("material_u", device.material_u, json::kNotNegative);
  device.light = fields.enumerator<Light>("light");
  device.bits = static_cast<int>(fields.number_or("bits", device.bits, {1.0, 64.0}));
  device.colour_profile = fields.text_or_empty("colour_profile");
  const double dpi = fields.number_or("resolution_dpi", 0.0, json::kNotNegative);
  if (dpi > 0.0) device.resolution_dpi = dpi;
  device.flat_fielded = fields.flag_or("flat_fielded", false);
  device.warnings = fields.warnings();
  if (complaint.any()) return complaint.failure();
  return device;
}

Result<DeviceCurve> read_device_file(const std::filesystem::path& path) {
  const Result<std::string> text = json::text_of_file(path);
  if (!text) return tl::make_unexpected(text.error());
  return device_from_json(*text, path.string());
}

}  // namespace platewise
