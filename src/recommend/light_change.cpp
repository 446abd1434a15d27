#include "platewise/recommend/light_change.h"

#include <cmath>

#include "platewise/knowledge/light_words.h"

namespace platewise {

std::optional<LightChange> light_change(const NotedPlate& from, const NotedPlate& to) {
  if (from.settings.meter_ev && to.settings.meter_ev) {
    constexpr double kMeter_u_stops = 0.1;  // one reading, common practice
    return LightChange{{*to.settings.meter_ev - *from.settings.meter_ev, kMeter_u_stops * std::sqrt(2.0)},
                       true};
  }
  const auto then = noted_light(from.note);
  const auto now = noted_light(to.note);
  if (!then || !now || then->stops.value == now->stops.value) return std::nullopt;
  return LightChange{{now->stops.value - then->stops.value, std::hypot(then->stops.u, now->stops.u)}};
}

}  // namespace platewise
