#pragma once

#include "side_line.h"

namespace platewise {

enum class SideEnd { first, last };

// How much deeper the rim is at an end of a side than along it where its border turns inward there on a
// circle's arc, as the rounded corner of a holder's opening does: working pixels, 0 where it does not. Seen
// without the neighbouring side, which may lie outside the frame.
[[nodiscard]] double corner_turn(const SideView& view, const SideLine& line, const WorkingTone& working,
                                 SideEnd end);

// Rounded corners of the picture that show although hardly any rim does, as where the scan was cut at the
// opening: patches of one dark tone in the frame's corners, bounded by arcs.
struct RoundedCorners {
  int count = 0;
  double tone = 0.0;  // of the patches
};
[[nodiscard]] RoundedCorners rounded_corners(const WorkingTone& working, const cv::Mat& inside);

}  // namespace platewise
