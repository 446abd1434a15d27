#include "numbers.h"

#include <fmt/format.h>

#include <cmath>

#include "words.h"

namespace platewise {
namespace {

constexpr std::string_view kMinus = "\u2212";

std::string signed_text(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double rounded = std::round(value * scale) / scale;
  if (rounded == 0.0) return "0";
  return fmt::format("{}{:.{}f}", rounded < 0 ? kMinus : "+", std::abs(rounded), decimals);
}

std::string with_minus(double value, int decimals) {
  const std::string digits = fmt::format("{:.{}f}", std::abs(value), decimals);
  const bool is_zero = digits.find_first_not_of("0.") == std::string::npos;
  return value < 0 && !is_zero ? fmt::format("{}{}", kMinus, digits) : digits;
}

}  // namespace

std::string density_text(double density) {
  return with_minus(density, 2);
}

std::string density_text(const std::optional<Quantity>& value) {
  if (!value) return std::string(words::kNotMeasured);
  return fmt::format("{} \u00b1{:.2f}", density_text(value->value), value->u);
}

std::string difference_text(const std::optional<Quantity>& value) {
  if (!value) return std::string(words::kNotMeasured);
  return fmt::format("{} \u00b1{:.2f}", signed_text(value->value, 2), value->u);
}

// Thirds and halves of a stop are what lenses and watches are marked in.
std::string stops_text(double stops) {
  const double sixths = std::round(std::abs(stops) * 6.0);
  if (sixths == 0.0) return std::string(words::kNoChange);
  const int whole = static_cast<int>(sixths) / 6;
  constexpr std::string_view kFractions[] = {"", "1/6", "1/3", "1/2", "2/3", "5/6"};
  const std::string_view fraction = kFractions[static_cast<int>(sixths) % 6];
  std::string text(stops < 0 ? kMinus : "+");
  if (whole > 0) text += fmt::format("{}", whole);
  if (whole > 0 && !fraction.empty()) text += " ";
  text += fraction;
  return text + (sixths > 6.0 ? " stops" : " stop");
}

std::string stops_range_text(const Change& change) {
  const std::string proposed = stops_text(change.change);
  return fmt::format("{}, {} to {}{}", proposed, signed_text(change.low, 1), signed_text(change.high, 1),
                     proposed == words::kNoChange ? " stops" : "");
}

std::string percent_text(double percent) {
  const std::string text = signed_text(percent, 0);
  return text == "0" ? std::string(words::kNoChange) : text + "%";
}

std::string percent_range_text(const Change& change) {
  return fmt::format("{}, {} to {}%", percent_text(change.change), signed_text(change.low, 0),
                     signed_text(change.high, 0));
}

std::string seconds_text(double seconds) {
  if (seconds >= 10.0) return fmt::format("{:.0f}", seconds);
  std::string text = fmt::format("{:.{}f}", seconds, seconds >= 1.0 ? 1 : 2);
  while (text.ends_with('0')) text.pop_back();
  if (text.ends_with('.')) text.pop_back();
  return text;
}

std::string mark_text(double mark) {
  return fmt::format("{:.0f}", mark);
}

std::string share_text(double fraction) {
  const double percent = 100.0 * fraction;
  return percent > 0.0 && percent < 1.0 ? "under 1%" : fmt::format("{:.0f}%", percent);
}

std::string per_area_text(double count) {
  return fmt::format("{:.{}f}", count, count >= 10.0 ? 0 : count >= 0.1 ? 1 : 2);
}

}  // namespace platewise
