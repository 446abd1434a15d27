#include <algorithm>

#include "document.h"
#include "fields.h"
#include "platewise/json/score_json.h"

namespace platewise {
namespace {

using json::Fields;
using json::kNotNegative;

Scan scan_from(const Fields& object) {
  Scan scan;
  scan.path = object.text_or_empty("path");
  scan.sha256 = object.text_or_empty("sha256");
  scan.width_px = static_cast<int>(object.number("width_px", kNotNegative));
  scan.height_px = static_cast<int>(object.number("height_px", kNotNegative));
  scan.bits = static_cast<int>(object.number("bits", kNotNegative));
  scan.colour_profile = object.text_or_empty("colour_profile");
  scan.resolution_dpi = object.number_or_null("resolution_dpi", kNotNegative);
  scan.from_camera = object.flag_or("from_camera", false);
  return scan;
}

void read_plate(const Fields& object, PlateScore& score) {
  PlateOutline& outline = score.outline;
  score.kind = object.enumerator<PlateKind>("kind");
  score.light = object.enumerator<Light>("light");
  // Not in documents of earlier versions.
  if (!object.is_null("state")) score.state = object.enumerator<PlateState>("state");
  outline.found = object.flag_or("found", false);
  outline.confidence = object.number("confidence", json::kShare);
  outline.source = object.enumerator<OutlineSource>("outline");
  outline.scale.millimetres = object.text_or_empty("scale") == "mm";
  if (!outline.found) return;
  const std::vector<Point> corners = object.points("corners_px");
  if (corners.size() != outline.corners_px.size()) return object.complain("corners_px", "are not four");
  std::copy(corners.begin(), corners.end(), outline.corners_px.begin());
  if (!outline.scale.millimetres) return;
  outline.scale.width_units = object.number("width_mm", json::kPositive);
  outline.scale.height_units = object.number("height_mm", json::kPositive);
  if (!object.is_null("size_name")) outline.scale.size_name = object.text_or_empty("size_name");
}

std::optional<Tones> tones_from(const Fields& score) {
  if (score.is_null("tones")) return std::nullopt;
  const Fields object = score.object("tones");
  const Fields histogram = object.object("histogram");
  return Tones{
      .calibrated = object.flag_or("calibrated", false),
      .support_density = object.quantity_or_null("support_density"),
      .support_seen = object.flag_or("support_seen", false),
      .margin_density = object.quantity_or_null("margin_density"),
      .floor_density = object.quantity_or_null("floor_density"),
      .fog = object.quantity_or_null("fog"),
      .margin_fog = object.quantity_or_null("margin_fog"),
      .floor_over_margin = object.quantity_or_null("floor_over_margin"),
      .midtone_density = object.quantity_or_null("midtone_density"),
      .highlight_density = object.quantity_or_null("highlight_density"),
      .range = object.quantity_or_null("range"),
      .empty_shadow_fraction = object.number_or_null("empty_shadow_fraction", json::kShare),
      .blocked_highlight_fraction = object.number_or_null("blocked_highlight_fraction", json::kShare),
      .histogram = {histogram.numbers("edges"), histogram.numbers("share")},
      .glare_fraction = object.number_or("glare_fraction", 0.0, json::kShare)};
}

// Masks are not in the file; the numbers and the outline are.
std::optional<Regions> regions_from(const Fields& score) {
  if (score.is_null("coverage")) return std::nullopt;
  const Fields object = score.object("coverage");
  Regions regions;
  regions.covered_fraction = object.number("covered_fraction");
  for (const std::string& name : object.texts("uncovered_corners")) {
    if (const auto corner = from_name<Corner>(name)) regions.uncovered_corners.push_back(*corner);
  }
  const Fields plate = score.object("plate");
  if (!plate.is_null("image_area_mm")) regions.image_area_units = plate.points("image_area_mm");
  return regions;
}

Fault fault_from(const Fields& object) {
  Fault fault;
  fault.id = object.text_or_empty("id");
  const std::vector<double> box = object.numbers("bbox_mm");
  if (box.size() == 4) {
    fault.box_origin = {box[0], box[1]};
    fault.box_width = box[2];
    fault.box_height = box[3];
  } else {
    object.complain("bbox_mm", "is not four numbers");
  }
  fault.area = object.number("area_mm2");
  fault.length = object.number_or_null("length_mm");
  fault.width = object.number_or_null("width_mm");
  fault.angle_deg = object.number_or_null("angle_deg");
  fault.severity = object.number("severity");
  fault.log10_nfa = object.number_or_null("log10_nfa");
  fault.confidence = object.number("confidence");
  fault.outline_units = object.points("outline_mm");
  fault.likely_causes = object.texts("likely_causes");
  fault.remedies = object.texts("remedies");
  fault.cautions = object.texts("cautions");
  return fault;
}

std::optional<Grade> grade_from(const Fields& score) {
  if (score.is_null("score")) return std::nullopt;
  const Fields object = score.object("score");
  const Fields parts = object.object("parts");
  return Grade{.overall = object.number("overall"),
               .exposure = parts.number("exposure"),
               .development = parts.number("development"),
               .fog = parts.number("fog"),
               .coating = parts.number("coating"),
               .cleanliness = parts.number("cleanliness"),
               .because = object.texts("because")};
}

Change change_from(const Fields& object, const char* change_key) {
  return {.change = object.number(change_key),
          .low = object.number("low"),
          .high = object.number("high"),
          .from_s = object.number_or_null("from_s"),
          .to_s = object.number_or_null("to_s"),
          .to_exact_s = object.number_or_null("to_exact_s")};
}

std::optional<Recommendation> recommendation_from(const Fields& score) {
  if (score.is_null("recommendation")) return std::nullopt;
  const Fields object = score.object("recommendation");
  Recommendation advice{.diagnosis = object.enumerator<Diagnosis>("diagnosis"),
                        .exposure = change_from(object.object("exposure"), "change_stops"),
                        .development = change_from(object.object("development"), "change_percent"),
                        .because = object.texts("because"),
                        .alternatives = object.texts("alternatives")};
  const Fields probability = object.object("diagnosis_probability");
  for (std::size_t i = 0; i < kDiagnosisCount; ++i) {
    advice.probability[i] = probability.number_or(std::string(Names<Diagnosis>::all[i]).c_str(), 0.0);
  }
  // Without these keys (an older program): what was proposed is what was missing.
  const auto posterior = [&](const char* key, double otherwise, double& value, double& u) {
    const Quantity read =
        object.is_null(key) ? Quantity{otherwise, 0.0} : object.quantity_or_null(key).value_or(Quantity{});
    value = read.value;
    u = read.u;
  };
  posterior("exposure_error_stops", -advice.exposure.change, advice.exposure_error_stops,
            advice.exposure_error_u);
  posterior("development_error_fraction", 0.0, advice.development_error_fraction, advice.development_error_u);
  posterior("veil_density", 0.0, advice.veil_density, advice.veil_u);
  return advice;
}

std::optional<double> number_where_given(const Fields& object, const char* key) {
  return object.is_null(key) ? std::nullopt : std::optional(object.number(key, json::kPositive));
}

void read_settings(const Fields& score, PlateScore& read) {
  if (score.is_null("settings")) return;
  const Fields object = score.object("settings");
  read.settings = {.exposure_s = object.number_or_null("exposure_s"),
                   .development_s = object.number_or_null("development_s"),
                   .aperture = object.number_or_null("aperture"),
                   .meter_ev = object.number_or_null("meter_ev"),
                   .temperature_c = object.number_or_null("temperature_c"),
                   // Not in documents of earlier versions.
                   .bellows_ratio = number_where_given(object, "bellows_ratio"),
                   .schwarzschild_p = number_where_given(object, "schwarzschild_p")};
  read.note = object.text_or_empty("note");
}

}  // namespace

Result<PlateScore> score_from_json(std::string_view text, const std::string& where) {
  const auto document = json::parsed(text, where);
  if (!document) return tl::make_unexpected(document.error());
  json::Complaint complaint(where);
  const Fields object(*document, "", complaint);
  object.expect_schema("platewise.score/1");
  if (complaint.any()) return complaint.failure();
  PlateScore score;
  score.scan = scan_from(object.object("scan"));
  read_settings(object, score);
  read_plate(object.object("plate"), score);
  score.tones = tones_from(object);
  score.regions = regions_from(object);
  for (const Fields& fault : object.objects("faults")) score.faults.found.push_back(fault_from(fault));
  score.grade = grade_from(object);
  score.recommendation = recommendation_from(object);
  score.cautions = object.texts("cautions");
  score.warnings = object.warnings();
  score.asked_sha256 = object.text_or_empty("asked_sha256");
  if (complaint.any()) return complaint.failure();
  return score;
}

}  // namespace platewise
