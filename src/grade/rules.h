#pragma once

#include <span>

namespace platewise {

// A table of marks, linear between its points and level outside them: mark 0..100 against an error.
struct MarkPoint {
  double error;
  double mark;
};
[[nodiscard]] double mark_for(std::span<const MarkPoint> table, double error);

// The tables of the trade handbook, process.md section 5a-bis (common practice, no source).
[[nodiscard]] std::span<const MarkPoint> exposure_marks();     // stops off
[[nodiscard]] std::span<const MarkPoint> development_marks();  // share of the time off
[[nodiscard]] std::span<const MarkPoint> fog_marks();          // density of the margin's veil
// Share of the plate that film covers: ours, no source. A bare holding corner is ordinary.
[[nodiscard]] std::span<const MarkPoint> coverage_marks();  // uncovered share

}  // namespace platewise
