#pragma once

#include "working_tone.h"

namespace platewise {

// Mirror reflections of a lamp or window in the plate's surface: working size, 255 inside.
[[nodiscard]] cv::Mat glare_spots(const WorkingTone& working, const cv::Mat& plate);

}  // namespace platewise
