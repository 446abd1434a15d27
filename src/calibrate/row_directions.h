#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "step_row.h"

namespace platewise {

// Directions of the edges in the picture, modulo a quarter turn, strongest first: the patches have edges
// along and across.
[[nodiscard]] std::vector<double> edge_directions_deg(const cv::Mat& log_light);

// The picture turned by `angle` about its centre into a frame that holds all of it; nothing else is set.
[[nodiscard]] StepRow turned_by(const cv::Mat& log_light, double angle_deg);

}  // namespace platewise
