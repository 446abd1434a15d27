#pragma once

#include <opencv2/core.hpp>

#include "platewise/core/plate.h"
#include "working_tone.h"

namespace platewise {

// The film's grain over the plate: robust one-sigma deviation of single pixels of the density image from
// local planes, in blocks of about a hundredth of the long side, brought to the working size.
[[nodiscard]] cv::Mat grain_map(const DensityImage& plate, const WorkingTone& working);

}  // namespace platewise
