#pragma once

#include <optional>
#include <string>

#include "platewise/core/quantity.h"
#include "platewise/recommend/recommendation.h"

// Numbers as a photographer reads them; a point for decimals whatever the locale, a true minus sign.
namespace platewise {

[[nodiscard]] std::string density_text(double density);  // 1.35
[[nodiscard]] std::string density_text(
    const std::optional<Quantity>& value);  // 1.35 ±0.03, or "not measured"
[[nodiscard]] std::string difference_text(
    const std::optional<Quantity>& value);           // +0.05 ±0.03, or "not measured"
[[nodiscard]] std::string stops_text(double stops);  // +1 stop, −2/3 stop, no change
[[nodiscard]] std::string stops_range_text(
    const Change& change);  // +1 stop, +0.7 to +1.3; no change, −0.3 to +0.2 stops
[[nodiscard]] std::string percent_text(double percent);              // −30%, no change
[[nodiscard]] std::string percent_range_text(const Change& change);  // −30%, −40 to −20%
[[nodiscard]] std::string seconds_text(double seconds);              // 17, 2.5, 0.5
[[nodiscard]] std::string mark_text(double mark);                    // 0..100 whole
[[nodiscard]] std::string share_text(double fraction);               // 12%
[[nodiscard]] std::string per_area_text(double count);               // 12, 1.3, 0.05

}  // namespace platewise
