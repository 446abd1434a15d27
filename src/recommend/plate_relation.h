#pragma once

#include <optional>

#include "platewise/recommend/light_change.h"
#include "priors.h"

namespace platewise {

// How a plate stands to the scored one, from their settings: what it should have got more.
struct PlateRelation {
  double exposure_stops = 0.0;
  double exposure_sd = 0.0;
  double log_development = 0.0;
  double log_development_sd = 0.0;
  double warmer_c = 0.0;  // its developer than that of the scored plate
  double fog_sd = 0.0;    // density; bath and developer age
};

// Empty where the exposures of the two cannot be compared. `plates_ago`: 1 for the plate just before.
[[nodiscard]] std::optional<PlateRelation> relation_of(const NotedPlate& earlier, const NotedPlate& now,
                                                       int plates_ago, const Priors& prior);

}  // namespace platewise
