#include "advice_outcome.h"

#include <cmath>

#include "platewise/recommend/exposure_arithmetic.h"
#include "platewise/recommend/light_change.h"

namespace platewise {
namespace {

// What light and hand change from plate to plate when nothing is meant to (data/priors.csv: light 0.3 stop,
// hand 0.15 stop).
constexpr double kLight_u_stops = 0.3;
constexpr double kHand_u_stops = 0.15;

std::optional<double> positive(const std::optional<double>& value) {
  return value && *value > 0 ? value : std::nullopt;
}

std::optional<double> percent_done(const PlateSettings& from, const PlateSettings& to) {
  const auto before = positive(from.development_s);
  const auto after = positive(to.development_s);
  if (!before || !after) return std::nullopt;
  return 100.0 * (*after / *before - 1.0);
}

AdviceOutcome outcome(const PlateScore& from, const PlateScore& to) {
  const Recommendation& advice = *from.recommendation;
  AdviceOutcome result{.exposure = advice.exposure,
                       .development = advice.development,
                       .done_stops = stops_between(from.settings, to.settings),
                       .done_percent = percent_done(from.settings, to.settings)};
  const auto light_changed = light_change({from.settings, from.note}, {to.settings, to.note});
  if (light_changed) result.light_stops = light_changed->stops.value;
  if (to.recommendation) {
    result.happened_error_stops =
        Quantity{to.recommendation->exposure_error_stops, to.recommendation->exposure_error_u};
  }
  if (!result.done_stops) return result;
  const double light_u = light_changed ? light_changed->stops.u : kLight_u_stops;
  const double between_u = std::hypot(light_u, kHand_u_stops);
  const double light = result.light_stops.value_or(0.0);
  result.predicted_error_stops = Quantity{advice.exposure_error_stops + *result.done_stops + light,
                                          std::hypot(advice.exposure_error_u, between_u)};
  if (!result.happened_error_stops) return result;
  const Quantity& happened = *result.happened_error_stops;
  result.needed_stops =
      Quantity{*result.done_stops + light - happened.value, std::hypot(happened.u, between_u)};
  result.within =
      result.needed_stops->value >= advice.exposure.low && result.needed_stops->value <= advice.exposure.high;
  return result;
}

}  // namespace

std::vector<AdviceOutcome> advice_outcomes(std::span<const PlateScore> plates) {
  std::vector<AdviceOutcome> outcomes;
  for (std::size_t i = 1; i < plates.size(); ++i) {
    const PlateScore& from = plates[i - 1];
    if (!from.recommendation || from.kind != plates[i].kind) continue;
    AdviceOutcome result = outcome(from, plates[i]);
    result.from = i - 1;
    result.to = i;
    outcomes.push_back(result);
  }
  return outcomes;
}

}  // namespace platewise
