#pragma once

#include <array>

#include "platewise/core/geometry.h"
#include "platewise/read/scan.h"
#include "search_image.h"

namespace platewise {

// What speaks against an outline that its four sides support.

// A written or printed page: an even bright ground with fine dark strokes. A plate has tones between.
[[nodiscard]] bool looks_like_a_page(const SearchImage& search, const Quad& corners_px);

// Drawn by a computer: neighbouring pixels are exactly equal over much of the area. Film and scanner have
// grain.
[[nodiscard]] bool looks_like_a_screen(const LinearImage& image, const Quad& corners_working_px);

// The ground around the outline is as dark as a black bed, a coated rim or bare support.
[[nodiscard]] bool ground_is_dark(const LinearImage& image, const Quad& corners_working_px);

// A picture straight on the ground may be the opening of a rim that is taken for the ground.
enum class RimDoubt {
  none,            // an even rim is seen inside the outline, or the ground is no rim's
  may_be_rim,      // dark ground, bright picture up to the side, or a faint step that the film's own edge
                   // makes as well: either is possible
  looks_like_rim,  // the corners are rounded like a holder's opening, and the band outside is a rim's width
};
[[nodiscard]] RimDoubt rim_doubt(const LinearImage& image, const Quad& corners_working_px);

}  // namespace platewise
