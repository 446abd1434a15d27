#include "plate_relation.h"

#include <cmath>

#include "platewise/recommend/exposure_arithmetic.h"

namespace platewise {

std::optional<PlateRelation> relation_of(const NotedPlate& earlier_plate, const NotedPlate& this_plate,
                                         int plates_ago, const Priors& prior) {
  const PlateSettings& earlier = earlier_plate.settings;
  const PlateSettings& now = this_plate.settings;
  const auto stops_then = stops_between(now, earlier);
  if (!stops_then) return std::nullopt;
  const double slowly = std::sqrt(static_cast<double>(plates_ago));  // a drift's steps add up so
  PlateRelation relation{.exposure_stops = *stops_then,
                         .exposure_sd = prior.light_drift.sd * slowly,
                         .fog_sd = prior.fog_drift.sd * slowly};
  if (const auto change = light_change(earlier_plate, this_plate)) {
    relation.exposure_stops -= change->stops.value;
    const double drift = change->by_meter ? prior.material_drift.sd : prior.light_drift.sd;
    relation.exposure_sd = std::hypot(change->stops.u, drift * slowly);
  }
  relation.exposure_sd = std::hypot(relation.exposure_sd, prior.hand_scatter.sd * std::sqrt(2.0));
  relation.log_development_sd = prior.development_error.sd;
  if (earlier.development_s && now.development_s) {
    relation.log_development = std::log(*earlier.development_s / *now.development_s);
    relation.log_development_sd = prior.hand_scatter_development.sd * std::sqrt(2.0);
  }
  if (earlier.temperature_c && now.temperature_c)
    relation.warmer_c = *earlier.temperature_c - *now.temperature_c;
  return relation;
}

}  // namespace platewise
