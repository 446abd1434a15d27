#pragma once

#include <optional>
#include <string_view>

#include "platewise/core/quantity.h"
#include "platewise/recommend/recommend.h"

namespace platewise {

// A plate's settings and note; both must outlive it.
struct NotedPlate {
  const PlateSettings& settings;
  std::string_view note;
};

// How the light changed from one plate to another, in stops, as far as was noted.
struct LightChange {
  Quantity stops;  // more than 0: brighter
  bool by_meter = false;
};

// By meter readings; where not both plates have one, by words in the notes (knowledge/light_words.h). Empty
// where those do not tell, or tell the same of both.
[[nodiscard]] std::optional<LightChange> light_change(const NotedPlate& from, const NotedPlate& to);

}  // namespace platewise
