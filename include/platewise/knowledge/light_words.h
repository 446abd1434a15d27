#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "platewise/core/quantity.h"

namespace platewise {

// What a photographer's note says of the light (data/light_words.csv).
struct NotedLight {
  std::string words;
  Quantity stops;  // against full sun
};

// Whole words, whatever their case, not denied right before (no, not, without). Empty where the note has none
// of them, or some that differ.
[[nodiscard]] std::optional<NotedLight> noted_light(std::string_view note);

}  // namespace platewise
