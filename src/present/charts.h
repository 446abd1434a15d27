#pragma once

#include <string>

#include "platewise/pipeline/plate_score.h"

// Plots as inline SVG, labelled with units. They read in grey: every line has a letter and a dash of its own.
namespace platewise {

// Share of the picture by density, silver growing to the right (black to white on a positive), with support,
// margin, floor, mid-tone, highlight, the veil between support and floor, and the aims of the handbook.
[[nodiscard]] std::string histogram_svg(const PlateScore& score);

// The photographer's curve(s) with this plate's tones on it now and after the proposed change.
// Empty without a curve.
[[nodiscard]] std::string curve_svg(const PlateScore& score);

}  // namespace platewise
