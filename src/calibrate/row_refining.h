#pragma once

#include <opencv2/core.hpp>

#include "step_row.h"
#include "step_run.h"

namespace platewise {

// Turns the row so that its borders stand upright: at the right angle their mean over the whole height is
// sharpest. `angle_deg`: how far the row's frame is turned already.
void straighten(StepRow& row, StepRun& run, const cv::Mat& log_light, double angle_deg);

// Borders of the patches that are told apart, refined one by one, and the smooth comb through them.
void refine_borders(StepRow& row, const StepRun& run);

// How far up and down the patches keep their values: rows whose patch means follow those of the middle.
void refine_height(StepRow& row);

}  // namespace platewise
