#pragma once

#include <opencv2/core.hpp>

#include "dark_places.h"

namespace platewise {

// A place (CV_8UC1, of its window's size) cut back to the level of silver at which its border is steepest on
// the whole. Found at a level far above the tone of the support, it ends in the noise of whatever dark film
// lies beyond.
[[nodiscard]] cv::Mat cut_where_steepest(const DarkPlace& place, const GapGround& ground);

// A piece of bare support that the regions stage saw coarsely (CV_8UC1, plate size), by the steepest border
// of its own tone within a little of it. Empty where none stands out of the grain nearly all along.
[[nodiscard]] cv::Mat seen_sharply(const cv::Mat& piece, const GapGround& ground);

}  // namespace platewise
