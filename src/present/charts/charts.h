#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/pipeline/plate_score.h"
#include "platewise/series/compare.h"

// Plots as inline SVG, labelled with units. They read in grey: every line has a sign and a dash of its own,
// every mark a shape of its own. `key` is a plot's own part of the page's ids.
namespace platewise {

// Share of the picture by density, silver growing to the right (black to white on a positive), with support,
// margin, floor, mid-tone, highlight, the veil between support and floor, and where the highlight belongs.
[[nodiscard]] std::string histogram_svg(const PlateScore& score);

// The photographer's curve(s) with this plate's tones on it now and after the proposed change.
// Empty without a curve.
[[nodiscard]] std::string curve_svg(const PlateScore& score);

// True where the advised development has a curve of its own, so that the plot shows it.
[[nodiscard]] bool curve_shows_development(const PlateScore& score);

// One quantity over the plates of a series; empty where a plate does not have it.
struct DriftPlot {
  std::string_view title;
  std::string_view axis;
  std::vector<std::optional<double>> points;
  const Drift* limits = nullptr;  // none: too few plates for limits
};

[[nodiscard]] std::string drift_svg(const DriftPlot& plot);

}  // namespace platewise
