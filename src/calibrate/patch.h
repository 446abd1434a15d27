#pragma once

#include <opencv2/core.hpp>

#include "platewise/calibrate/find_steps.h"

namespace platewise {

// Measures the middle of a patch of the working picture: robust mean of linear light, free of dust and
// digits. `outline_working_px` in any order that goes round.
[[nodiscard]] FoundStep measured_patch(const cv::Mat& luminance, const Quad& outline_working_px);

}  // namespace platewise
