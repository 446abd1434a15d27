#pragma once

#include <opencv2/core.hpp>
#include <optional>

namespace platewise {

// The outline of a spot where no tail leaves it.
struct RoundEdge {
  cv::Point2d middle;
  double radius_px = 0.0;
  double uneven_px = 0.0;    // rms distance of the outline from the circle
  double contrast = 0.0;     // silver, median over the directions, in the sense of `sign`
  double softness_px = 0.0;  // median; as plain_step.h measures it
  double agreeing = 0.0;     // share of the directions with a step of at least a third of the contrast
};

// Steepest fall along rays from near the middle of a spot, but for those within 70 degrees of `tail_turn`
// (radians, y down), and the circle through them. Empty when too few have any.
[[nodiscard]] std::optional<RoundEdge> round_edge(const cv::Mat& silver, cv::Point2d at, double radius_px,
                                                  int sign, double tail_turn);

}  // namespace platewise
