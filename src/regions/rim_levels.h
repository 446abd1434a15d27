#pragma once

#include <optional>

#include "working_tone.h"

namespace platewise {

// The rim's tone over the whole plate as a smooth surface, for light and fog are uneven; and how far below it
// lies bare support among what was taken for the rim.
struct RimLevels {
  cv::Mat surface;     // CV_32FC1, of the tone's size
  double step = 0.0;   // D; 0: places of one level only
  double sigma = 0.0;  // of the places about their level
};

// Fitted to the places marked in `where`; `sigma` is the noise of a place. Places darker by one and the same
// step do not bend the surface. Empty where too few places are marked.
[[nodiscard]] std::optional<RimLevels> rim_levels(const cv::Mat& tone, const cv::Mat& where, double sigma);

}  // namespace platewise
