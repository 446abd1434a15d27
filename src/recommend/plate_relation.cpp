#include "plate_relation.h"

#include <cmath>

#include "platewise/recommend/exposure_arithmetic.h"

namespace platewise {

std::optional<PlateRelation> relation_of(const PlateSettings& earlier, const PlateSettings& now,
                                         int plates_ago, const Priors& prior) {
  const auto stops_then = stops_between(now, earlier);
  if (!stops_then) return std::nullopt;
  const double slowly = std::sqrt(static_cast<double>(plates_ago));  // a drift's steps add up so
  PlateRelation relation{.exposure_stops = *stops_then,
                         .exposure_sd = prior.light_drift.sd * slowly,
                         .fog_sd = prior.fog_drift.sd * slowly};
  if (earlier.meter_ev && now.meter_ev) {
    constexpr double kMeter_u_stops = 0.1;  // one reading, common practice
    relation.exposure_stops += *earlier.meter_ev - *now.meter_ev;
    relation.exposure_sd = std::hypot(kMeter_u_stops * std::sqrt(2.0), prior.material_drift.sd * slowly);
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
