#include "platewise/demo/truth.h"

#include <nlohmann/json.hpp>

namespace platewise {
namespace {

using nlohmann::json;

json point_json(Point p) {
  return json::array({p.x, p.y});
}

template <class Points>
json points_json(const Points& points) {
  json list = json::array();
  for (Point p : points) list.push_back(point_json(p));
  return list;
}

template <class T>
json or_null(const std::optional<T>& value) {
  return value ? json(*value) : json(nullptr);
}

json fault_json(const TrueFault& fault) {
  return {
      {"id", fault.id},
      {"outline_mm", points_json(fault.outline_mm)},
      {"bbox_mm", {fault.box_origin_mm.x, fault.box_origin_mm.y, fault.box_width_mm, fault.box_height_mm}},
      {"length_mm", or_null(fault.length_mm)},
      {"width_mm", or_null(fault.width_mm)},
      {"angle_deg", or_null(fault.angle_deg)},
      {"contrast_density", fault.contrast},
      {"colour_contrast", fault.colour_contrast},
      {"count", fault.count}};
}

json device_json(const DeviceModel& device) {
  return {{"formula", "light = flare + gain * 10^(-contrast * density)"},
          {"gain", device.gain},
          {"contrast", device.contrast},
          {"flare", device.flare},
          {"local_flare", device.local_flare},
          {"curve", name_of(device.curve)},
          {"curve_error", device.curve_error},
          {"bits", device.bits}};
}

json process_json(const ProcessParameters& process) {
  return {{"fast_silver", process.fast_silver},
          {"fast_point", process.fast_point},
          {"slow_silver", process.slow_silver},
          {"slow_point", process.slow_point},
          {"onset", process.onset},
          {"growth_after_onset", process.growth_after_onset},
          {"growth_rate", process.growth_rate},
          {"fog_at_right_time", process.fog_at_right_time},
          {"fog_power", process.fog_power},
          {"extra_fog", process.extra_fog},
          {"camera_flare", process.camera_flare},
          {"support_density", process.support_density},
          {"silver_reflectance", process.silver_reflectance},
          {"grain", process.grain}};
}

json tones_json(const PlateTruth& truth) {
  return {{"support_density", truth.support_density},
          {"support_visible", truth.support_visible},
          {"margin_density", or_null(truth.margin_density)},
          {"floor_density", truth.floor_density},
          {"midtone_density", truth.midtone_density},
          {"highlight_density", truth.highlight_density},
          {"range", truth.range},
          {"fog", truth.fog},
          {"margin_fog", or_null(truth.margin_fog)},
          {"floor_over_margin", or_null(truth.floor_over_margin)}};
}

json steps_json(const PlateTruth& truth) {
  json list = json::array();
  for (const TrueStep& step : truth.steps)
    list.push_back({{"log_exposure", step.log_exposure},
                    {"density", step.density},
                    {"corners_mm", points_json(step.corners_mm)},
                    {"corners_px", points_json(step.corners_px)}});
  return list;
}

json coverage_json(const PlateTruth& truth) {
  json corners = json::array();
  for (Corner corner : truth.uncovered_corners) corners.push_back(name_of(corner));
  return {{"covered_fraction", truth.covered_fraction},
          {"uncovered_corners", corners},
          {"bare_corner_mm", truth.bare_corner_mm}};
}

}  // namespace

std::string truth_json(const PlateTruth& truth) {
  json faults = json::array();
  for (const TrueFault& fault : truth.faults) faults.push_back(fault_json(fault));
  const json all = {
      {"schema", "platewise.truth/1"},
      {"plate",
       {{"kind", name_of(truth.kind)},
        {"light", name_of(truth.light)},
        {"medium", truth.medium},
        {"scene", truth.scene},
        {"corners_px", points_json(truth.corners_px)},
        {"width_mm", truth.width_mm},
        {"height_mm", truth.height_mm},
        {"cut_width_mm", truth.cut_width_mm},
        {"cut_height_mm", truth.cut_height_mm},
        {"px_per_mm", truth.px_per_mm},
        {"image_area_mm", truth.image_area_mm ? points_json(*truth.image_area_mm) : json(nullptr)}}},
      {"coverage", coverage_json(truth)},
      {"tones", tones_json(truth)},
      {"making",
       {{"exposure_error_stops", truth.exposure_error_stops},
        {"development_factor", truth.development_factor},
        {"extra_fog", truth.extra_fog},
        {"exposure_s", or_null(truth.exposure_s)},
        {"development_s", or_null(truth.development_s)}}},
      {"process", process_json(truth.process)},
      {"device", device_json(truth.device)},
      {"steps", steps_json(truth)},
      {"faults", faults}};
  return all.dump(2) + "\n";
}

}  // namespace platewise
