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

Json proposed_object(const Change& change) {
  return {{"change", number(change.change)}, {"low", number(change.low)}, {"high", number(change.high)}};
}

Json advice_object(const AdviceOutcome& outcome) {
  return {{"from", outcome.from},
          {"to", outcome.to},
          {"proposed_stops", proposed_object(outcome.exposure)},
          {"done_stops", number(outcome.done_stops)},
          {"light_change_stops", number(outcome.light_stops)},
          {"needed_stops", quantity(outcome.needed_stops)},
          {"within_interval", outcome.within ? Json(*outcome.within) : Json(nullptr)},
          {"predicted_error_stops", quantity(outcome.predicted_error_stops)},
          {"happened_error_stops", quantity(outcome.happened_error_stops)},
          {"proposed_development_percent", proposed_object(outcome.development)},
          {"done_development_percent", number(outcome.done_percent)}};
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
  Json advice = Json::array();
  for (const AdviceOutcome& outcome : comparison.advice) advice.push_back(advice_object(outcome));
  return json::written({{"schema", "platewise.series/1"},
                        {"plates", scores},
                        {"changes", changes},
                        {"advice", advice},
                        {"drift", drift}},
                       style);
}

}  // namespace platewise
