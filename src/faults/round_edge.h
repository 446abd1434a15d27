#pragma once

#include <opencv2/core.hpp>
#include <optional>

namespace platewise {

// The outline of a spot. Where a tail leaves it the steepest fall is elsewhere: up to half of the directions
// may be left out of the circle.
struct RoundEdge {
  cv::Point2d middle;
  double radius_px = 0.0;
  double uneven_px = 0.0;    // rms distance of the outline from the circle
  double contrast = 0.0;     // silver, median over the directions, in the sense of `sign`
  double softness_px = 0.0;  // median; as plain_step.h measures it
  double agreeing = 0.0;     // share of all directions whose outline lies on the circle
};

// Steepest fall along rays from near the middle of a spot and the circle through them. Empty when too few
// have any.
[[nodiscard]] std::optional<RoundEdge> round_edge(const cv::Mat& silver, cv::Point2d at, double radius_px,
                                                  int sign);

}  // namespace platewise
