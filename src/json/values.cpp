#include "values.h"

#include <cmath>

namespace platewise::json {

Json number(double value) {
  if (!std::isfinite(value)) return nullptr;
  if (value == 0.0) return 0.0;  // no minus sign
  constexpr double kSignificantDigits = 6.0;
  const double digits = kSignificantDigits - 1.0 - std::floor(std::log10(std::abs(value)));
  const double scale = std::pow(10.0, std::abs(digits));
  if (!std::isfinite(scale)) return value;
  return digits >= 0.0 ? std::round(value * scale) / scale : std::round(value / scale) * scale;
}

Json number(const std::optional<double>& value) {
  return value ? number(*value) : Json(nullptr);
}

Json quantity(const Quantity& quantity) {
  if (!std::isfinite(quantity.value) || !std::isfinite(quantity.u)) return nullptr;
  return {{"value", number(quantity.value)}, {"u", number(quantity.u)}};
}

Json quantity(const std::optional<Quantity>& value) {
  return value ? quantity(*value) : Json(nullptr);
}

Json point(Point point) {
  return Json::array({number(point.x), number(point.y)});
}

Json text_or_null(const std::optional<std::string>& text) {
  return text ? Json(*text) : Json(nullptr);
}

Json exact(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json exact(const std::optional<double>& value) {
  return value ? exact(*value) : Json(nullptr);
}

Json exact(const Quantity& quantity) {
  if (!std::isfinite(quantity.value) || !std::isfinite(quantity.u)) return nullptr;
  return {{"value", quantity.value}, {"u", quantity.u}};
}

std::string written(const Json& document, JsonStyle style) {
  constexpr int kOneLine = -1;
  constexpr int kSpaces = 2;
  return document.dump(style == JsonStyle::indented ? kSpaces : kOneLine, ' ', false,
                       Json::error_handler_t::replace);
}

}  // namespace platewise::json
