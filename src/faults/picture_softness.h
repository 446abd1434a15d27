#pragma once

#include <optional>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

// Below this softness lies the sharpest share of a picture's edges.
inline constexpr double kSharpestShare = 0.05;

// Plain steps of the picture between two levels that go on to both sides, softest last.
[[nodiscard]] std::vector<PictureEdge> picture_edges(const Evidence& evidence);

// How soft the sharpest of a picture's edges are: the 5 percent quantile of
//   sigma = step / (sqrt(2 pi) steepest rise),  pixels, as of a step blurred by a normal distribution,
// over all of them. The lens draws nothing sharper, so whatever is sharper lies on the film or is missing
// from it. Rises are Sobel's, in which a perfectly hard edge has sigma 0.8. Empty when there are too few to
// tell.
[[nodiscard]] std::optional<double> sharpest_px(const std::vector<PictureEdge>& sharpest_first);

// The same as far as the evidence has it, else that of a lens at its best (common practice, no source).
[[nodiscard]] double lens_softness_px(const Evidence& evidence);

}  // namespace platewise
