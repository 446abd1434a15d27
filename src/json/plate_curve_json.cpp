#include "document.h"
#include "fields.h"
#include "platewise/json/curve_json.h"
#include "values.h"

namespace platewise {
namespace {

using json::exact;
using json::Fields;
using json::Json;

constexpr const char* kSchema = "platewise.curve/1";
constexpr const char* kFormula =
    "s = fog + amplitude / (1 + exp(-slope (x - middle)))^asymmetry, x = log10 exposure";

Json steps_array(const std::vector<CurveStep>& steps) {
  Json list = Json::array();
  for (const CurveStep& step : steps) {
    list.push_back(
        {{"log_exposure", exact(step.log_exposure)}, {"density", exact(step.density)}, {"u", exact(step.u)}});
  }
  return list;
}

std::vector<CurveStep> steps_of(const Fields& fields) {
  std::vector<CurveStep> steps;
  for (const Fields& step : fields.objects("steps")) {
    steps.push_back(
        {step.number("log_exposure"), step.number("density"), step.number("u", json::kNotNegative)});
  }
  return steps;
}

Json model_object(const PlateCurve& curve) {
  const CurveModel& model = curve.model;
  return {{"formula", kFormula},
          {"fog", exact(model.fog)},
          {"amplitude", exact(model.amplitude)},
          {"slope", exact(model.slope)},
          {"middle", exact(model.middle)},
          {"asymmetry", exact(model.asymmetry)},
          {"residual", exact(curve.residual)},
          {"shoulder_reached", curve.shoulder_reached},
          {"toe_reached", curve.toe_reached}};
}

void read_model(const Fields& fields, PlateCurve& curve) {
  curve.model.fog = fields.number("fog");
  curve.model.amplitude = fields.number("amplitude", json::kPositive);
  curve.model.slope = fields.number("slope", json::kPositive);
  curve.model.middle = fields.number("middle");
  curve.model.asymmetry = fields.number("asymmetry", json::kPositive);
  curve.residual = fields.number_or("residual", curve.residual, json::kNotNegative);
  curve.shoulder_reached = fields.flag_or("shoulder_reached", curve.shoulder_reached);
  curve.toe_reached = fields.flag_or("toe_reached", curve.toe_reached);
}

}  // namespace

std::string plate_curve_json(const PlateCurve& curve) {
  const Json document = {
      {"schema", kSchema},
      {"kind", name_of(curve.kind)},
      {"development_s", exact(curve.development_s)},
      {"exposure_s", exact(curve.exposure_s)},
      {"steps", steps_array(curve.steps)},
      {"support_density", curve.support_density ? exact(*curve.support_density) : Json(nullptr)},
      {"fog", exact(curve.fog)},
      {"gamma", exact(curve.gamma)},
      {"average_gradient", exact(curve.average_gradient)},
      {"speed_point_log_exposure", exact(curve.speed_point_log_exposure)},
      {"exposure_scale", exact(curve.exposure_scale)},
      {"max_density", exact(curve.max_density)},
      {"min_density", exact(curve.min_density)},
      {"model", model_object(curve)},
      {"shared_log_exposure_u", exact(curve.shared_log_exposure_u)},
      {"warnings", curve.warnings}};
  return json::written(document, JsonStyle::indented) + "\n";
}

Result<PlateCurve> plate_curve_from_json(std::string_view text, const std::string& where) {
  const Result<nlohmann::json> document = json::parsed(text, where);
  if (!document) return tl::make_unexpected(document.error());
  json::Complaint complaint(where);
  const Fields fields(*document, "", complaint);
  fields.expect_schema(kSchema);
  PlateCurve curve;
  curve.kind = fields.enumerator<PlateKind>("kind");
  curve.development_s = fields.number_or_null("development_s", json::kPositive);
  curve.exposure_s = fields.number_or_null("exposure_s", json::kPositive);
  curve.steps = steps_of(fields);
  curve.support_density = fields.quantity_or_null("support_density");
  curve.fog = fields.quantity("fog");
  curve.gamma = fields.quantity("gamma");
  curve.average_gradient = fields.quantity("average_gradient");
  curve.speed_point_log_exposure = fields.quantity("speed_point_log_exposure");
  curve.exposure_scale = fields.quantity("exposure_scale");
  curve.max_density = fields.quantity("max_density");
  curve.min_density = fields.quantity("min_density");
  read_model(fields.object("model"), curve);
  curve.shared_log_exposure_u = fields.number_or("shared_log_exposure_u", 0.0, json::kNotNegative);
  curve.warnings = fields.warnings();
  if (complaint.any()) return complaint.failure();
  return curve;
}

Result<PlateCurve> read_plate_curve_file(const std::filesystem::path& path) {
  const Result<std::string> text = json::text_of_file(path);
  if (!text) return tl::make_unexpected(text.error());
  return plate_curve_from_json(*text, path.string());
}

}  // namespace platewise
