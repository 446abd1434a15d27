#pragma once

#include <vector>

#include "platewise/core/geometry.h"
#include "search_image.h"

namespace platewise {

// What speaks for paper and ink or for a drawing, seen in the texture rather than in single tones, so that a
// photo's uneven light changes nothing. A plate has tones between its lights and darks, and slopes of every
// strength between grain and edge.

// Bright and even once its fine dark strokes are closed: a receipt, a written or printed page.
[[nodiscard]] bool bears_text(const SearchImage& search, const Quad& corners_px);

// Bright and flat to the grain nearly everywhere, between edges far above it: a chart, a window.
[[nodiscard]] bool is_flat_between_edges(const SearchImage& search, const Quad& corners_px);

// The ground around the outline bears text: the outline is a figure on a page.
[[nodiscard]] bool lies_on_text(const SearchImage& search, const Quad& corners_px);

// Share of the picture outside all the outlines that has one even tone, a slow change of light allowed: a
// scanner's bed is even, the rest of a scene is not. One where nothing lies outside.
[[nodiscard]] double even_ground_share(const SearchImage& search, const std::vector<Quad>& outlines_px);

}  // namespace platewise
