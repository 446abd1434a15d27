#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "working_tone.h"

namespace platewise {

// One side of the plate laid out for reading: rows run along the side, columns inward from the edge, as far
// as a rim can reach. Left and right sides have y along the rows, top and bottom have x.
struct SideView {
  Edge edge = Edge::left;
  cv::Mat tone;            // CV_32FC1
  cv::Mat plate;           // CV_8UC1, inside the plate's edge
  double length_px = 0.0;  // working pixels along the side
};

[[nodiscard]] SideView side_view(const WorkingTone& working, const cv::Mat& plate, Edge edge);

// A long straight border, rim outside and picture inside, and how well it is borne out. Depths are working
// pixels from the plate's edge at the two ends of the side (top or left end first).
struct SideLine {
  double depth_first = 0.0;
  double depth_last = 0.0;
  double rim_tone = 0.0;       // just outside the line
  double rim_spread = 0.0;     // robust, of means along the whole side
  double contrast = 0.0;       // median step where there is one
  double stepped = 0.0;        // share of the side that steps up to the picture
  double reversed = 0.0;       // share that steps down: not a rim
  double disturbed = 0.0;      // share of the strip outside that is lighter than the rim
  double rim_like = 0.0;       // share of the strip outside that has the rim's tone
  double darker_inside = 0.0;  // share of the picture that is darker than the rim
  double wander = 0.0;         // robust deviation of the border from straight, working pixels
  double confidence = 0.0;     // 0..1

  [[nodiscard]] double depth_at(double share_of_side) const {
    return depth_first + share_of_side * (depth_last - depth_first);
  }
};

// All straight borders of a side that may be a rim's, likeliest first.
[[nodiscard]] std::vector<SideLine> side_lines(const SideView& view, const WorkingTone& working);

}  // namespace platewise
