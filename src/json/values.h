#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "platewise/core/geometry.h"
#include "platewise/core/quantity.h"
#include "platewise/json/score_json.h"

namespace platewise::json {

// Keys stay in the order they are written: people read these files too.
using Json = nlohmann::ordered_json;

// Six significant digits; null when not finite.
[[nodiscard]] Json number(double value);
[[nodiscard]] Json number(const std::optional<double>& value);
[[nodiscard]] Json quantity(const Quantity& quantity);
[[nodiscard]] Json quantity(const std::optional<Quantity>& quantity);
[[nodiscard]] Json point(Point point);
[[nodiscard]] Json text_or_null(const std::optional<std::string>& text);

// Every digit, so that reading gives the same double; null when not finite.
[[nodiscard]] Json exact(double value);
[[nodiscard]] Json exact(const std::optional<double>& value);
[[nodiscard]] Json exact(const Quantity& quantity);

// Text of a document; bytes that are no UTF-8 become the replacement character.
[[nodiscard]] std::string written(const Json& document, JsonStyle style);

}  // namespace platewise::json
