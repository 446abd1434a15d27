#pragma once

#include "working_tone.h"

namespace platewise {

// Inside the plate's own edge, working size: the plate's outline is straight, its edge is not, so thin
// slivers of what lies beside the plate (scanner lid or bed, table) stand inside the outline. They are told
// by one even tone that occurs at many places right at the outline and gives way a little farther in.
[[nodiscard]] cv::Mat inside_plate_edge(const WorkingTone& working);

}  // namespace platewise
