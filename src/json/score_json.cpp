#include "platewise/json/score_json.h"

#include "score_object.h"

namespace platewise {
namespace {

using json::Json;
using json::number;
using json::quantity;

Json points(const auto& corners) {
  Json list = Json::array();
  for (const Point& corner : corners) list.push_back(json::point(corner));
  return list;
}

Json scan_object(const Scan& scan) {
  return {{"path", scan.path.string()},
          {"sha256", scan.sha256},
          {"width_px", scan.width_px},
          {"height_px", scan.height_px},
          {"bits", scan.bits},
          {"colour_profile", scan.colour_profile},
          {"resolution_dpi", number(scan.resolution_dpi)},
          {"from_camera", scan.from_camera}};
}

Json plate_object(const PlateScore& score) {
  const PlateOutline& outline = score.outline;
  const PlateScale& scale = outline.scale;
  const bool sized = outline.found && scale.millimetres;
  const bool framed = outline.found && score.regions && score.regions->image_area_units;
  return {{"found", outline.found},
          {"confidence", number(outline.confidence)},
          {"outline", name_of(outline.source)},
          {"corners_px", outline.found ? points(outline.corners_px) : Json(nullptr)},
          {"width_mm", sized ? number(scale.width_units) : Json(nullptr)},
          {"height_mm", sized ? number(scale.height_units) : Json(nullptr)},
          {"size_name", sized ? json::text_or_null(scale.size_name) : Json(nullptr)},
          {"scale", scale.millimetres ? "mm" : "relative"},
          {"kind", name_of(score.kind)},
          {"light", name_of(score.light)},
          {"state", name_of(score.state)},
          {"image_area_mm", framed ? points(*score.regions->image_area_units) : Json(nullptr)}};
}

Json histogram_object(const DensityHistogram& histogram) {
  Json edges = Json::array();
  Json share = Json::array();
  for (const double edge : histogram.edges) edges.push_back(number(edge));
  for (const double part : histogram.share) share.push_back(number(part));
  return {{"unit", "density"}, {"edges", edges}, {"share", share}};
}

Json tones_object(const std::optional<Tones>& tones) {
  if (!tones) return nullptr;
  return {{"calibrated", tones->calibrated},
          {"support_density", quantity(tones->support_density)},
          {"support_seen", tones->support_seen},
          {"margin_density", quantity(tones->margin_density)},
          {"floor_density", quantity(tones->floor_density)},
          {"fog", quantity(tones->fog)},
          {"margin_fog", quantity(tones->margin_fog)},
          {"floor_over_margin", quantity(tones->floor_over_margin)},
          {"midtone_density", quantity(tones->midtone_density)},
          {"highlight_density", quantity(tones->highlight_density)},
          {"range", quantity(tones->range)},
          {"empty_shadow_fraction", number(tones->empty_shadow_fraction)},
          {"blocked_highlight_fraction", number(tones->blocked_highlight_fraction)},
          {"glare_fraction", number(tones->glare_fraction)},
          {"histogram", histogram_object(tones->histogram)}};
}

Json coverage_object(const std::optional<Regions>& regions) {
  if (!regions) return nullptr;
  Json corners = Json::array();
  for (const Corner corner : regions->uncovered_corners) corners.push_back(name_of(corner));
  return {{"covered_fraction", number(regions->covered_fraction)}, {"uncovered_corners", corners}};
}

Json fault_object(const Fault& fault) {
  return {{"id", fault.id},
          {"bbox_mm", Json::array({number(fault.box_origin.x), number(fault.box_origin.y),
                                   number(fault.box_width), number(fault.box_height)})},
          {"area_mm2", number(fault.area)},
          {"length_mm", number(fault.length)},
          {"width_mm", number(fault.width)},
          {"angle_deg", number(fault.angle_deg)},
          {"severity", number(fault.severity)},
          {"log10_nfa", number(fault.log10_nfa)},
          {"confidence", number(fault.confidence)},
          {"outline_mm", points(fault.outline_units)},
          {"likely_causes", fault.likely_causes},
          {"remedies", fault.remedies},
          {"cautions", fault.cautions}};
}

Json faults_array(const Faults& faults) {
  Json list = Json::array();
  for (const Fault& fault : faults.found) list.push_back(fault_object(fault));
  return list;
}

Json score_object(const std::optional<Grade>& grade) {
  if (!grade) return nullptr;
  return {{"overall", number(grade->overall)},
          {"parts",
           {{"exposure", number(grade->exposure)},
            {"development", number(grade->development)},
            {"fog", number(grade->fog)},
            {"coating", number(grade->coating)},
            {"cleanliness", number(grade->cleanliness)}}},
          {"because", grade->because}};
}

Json change_object(const Change& change, const char* change_key) {
  return {{change_key, number(change.change)}, {"low", number(change.low)},
          {"high", number(change.high)},       {"from_s", number(change.from_s)},
          {"to_s", number(change.to_s)},       {"to_exact_s", number(change.to_exact_s)}};
}

Json recommendation_object(const std::optional<Recommendation>& recommendation) {
  if (!recommendation) return nullptr;
  Json probability = Json::object();
  for (std::size_t i = 0; i < kDiagnosisCount; ++i) {
    probability[std::string(Names<Diagnosis>::all[i])] = number(recommendation->probability[i]);
  }
  return {{"diagnosis", name_of(recommendation->diagnosis)},
          {"diagnosis_probability", probability},
          {"exposure", change_object(recommendation->exposure, "change_stops")},
          {"development", change_object(recommendation->development, "change_percent")},
          {"exposure_error_stops",
           quantity(Quantity{recommendation->exposure_error_stops, recommendation->exposure_error_u})},
          {"development_error_fraction", quantity(Quantity{recommendation->development_error_fraction,
                                                           recommendation->development_error_u})},
          {"veil_density", quantity(Quantity{recommendation->veil_density, recommendation->veil_u})},
          {"because", recommendation->because},
          {"alternatives", recommendation->alternatives}};
}

Json settings_object(const PlateScore& score) {
  return {{"exposure_s", number(score.settings.exposure_s)},
          {"development_s", number(score.settings.development_s)},
          {"aperture", number(score.settings.aperture)},
          {"meter_ev", number(score.settings.meter_ev)},
          {"temperature_c", number(score.settings.temperature_c)},
          {"bellows_ratio", number(score.settings.bellows_ratio)},
          {"schwarzschild_p", number(score.settings.schwarzschild_p)},
          {"note", score.note}};
}

}  // namespace

Json json::score_document(const PlateScore& score) {
  return {{"schema", "platewise.score/1"},
          {"scan", scan_object(score.scan)},
          {"settings", settings_object(score)},
          {"plate", plate_object(score)},
          {"tones", tones_object(score.tones)},
          {"coverage", coverage_object(score.regions)},
          {"faults", faults_array(score.faults)},
          {"score", score_object(score.grade)},
          {"recommendation", recommendation_object(score.recommendation)},
          {"cautions", score.cautions},
          {"warnings", score.warnings},
          {"asked_sha256", score.asked_sha256.empty() ? Json(nullptr) : Json(score.asked_sha256)}};
}

std::string score_json(const PlateScore& score, JsonStyle style) {
  return json::written(json::score_document(score), style);
}

std::string scores_json(std::span<const PlateScore> scores, JsonStyle style) {
  Json list = Json::array();
  for (const PlateScore& score : scores) list.push_back(json::score_document(score));
  return json::written(list, style);
}

}  // namespace platewise
