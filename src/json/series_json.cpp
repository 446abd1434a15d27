#include "platewise/json/series_json.h"

#include "score_object.h"

namespace platewise {
namespace {

using json::Json;
using json::number;
using json::quantity;

Json change_object(const PlateChange& change) {
  return {{"from", change.from},
          {"to", change.to},
          {"exposure_difference_stops", quantity(change.exposure_difference_stops)},
          {"fog_change", quantity(change.fog_change)},
          {"highlight_change", quantity(change.highlight_change)},
          {"faults_appeared", change.faults_appeared},
          {"faults_gone", change.faults_gone},
          {"aligned", change.same_scene}};
}

Json drift_object(const Drift& drift) {
  Json points = Json::array();
  for (const double point : drift.points) points.push_back(number(point));
  Json signals = Json::array();
  for (const ChartSignal& signal : drift.signals) {
    signals.push_back({{"index", signal.index}, {"rule", signal.rule}});
  }
  return {{"quantity", drift.quantity},
          {"centre", number(drift.limits.centre)},
          {"lower_limit", number(drift.limits.lower())},
          {"upper_limit", number(drift.limits.upper())},
          {"points", points},
          {"signals", signals}};
}

}  // namespace

std::string series_json(std::span<const PlateScore> plates, const SeriesComparison& comparison,
                        JsonStyle style) {
  Json scores = Json::array();
  for (const PlateScore& plate : plates) scores.push_back(json::score_document(plate));
  Json changes = Json::array();
  for (const PlateChange& change : comparison.changes) changes.push_back(change_object(change));
  Json drift = Json::array();
  for (const Drift& row : comparison.drift) drift.push_back(drift_object(row));
  return json::written(
      {{"schema", "platewise.series/1"}, {"plates", scores}, {"changes", changes}, {"drift", drift}}, style);
}

}  // namespace platewise
