#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace platewise {

// A size the trade cuts plates to. Nominal: hand-cut plates vary by 1-3 mm (common practice).
// To add one: a row in src/knowledge/plate_sizes.cpp with its source, and the same row in
// tests/locate/plate_sizes_test.cpp.
struct PlateSize {
  std::string_view name;  // one word, as the user types it and as the JSON shows it
  double short_mm = 0.0;  // nominal inches x 25.4
  double long_mm = 0.0;
  std::string_view source;  // where the figure comes from
};

// Every trade size, the largest first.
[[nodiscard]] std::span<const PlateSize> plate_sizes();

// The size of that name, `whole`, `half`, `4x5in` ...; also "half plate", "half-plate" and "Half". Empty when
// unknown.
[[nodiscard]] std::optional<PlateSize> plate_size_named(std::string_view name);

// A measured plate is taken for the nearest trade size if both its sides are within this of the nominal
// ones, in either orientation.
inline constexpr double kPlateSizeTolerance_mm = 3.0;
[[nodiscard]] std::optional<PlateSize> nearest_plate_size(double width_mm, double height_mm);

// Trade sizes whose long/short ratio is within `relative_tolerance` of the plate's, nearest ratio first. Many
// sizes share an aspect, so this names candidates and decides nothing.
[[nodiscard]] std::vector<PlateSize> plate_sizes_of_aspect(double width, double height,
                                                           double relative_tolerance);

}  // namespace platewise
