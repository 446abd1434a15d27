#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// Thin dark lines, straight or slightly bent, at the finest scale of a picture. A pixel counts for a line
// where it is darker than BOTH flanks, and no pixel counts for more than another: so neither edges nor specks
// make a line, but only many pixels in a row that agree in sign.
struct DarkLine {
  std::vector<cv::Point2d> spine;  // px, one point a pixel of length, from one end to the other
  double length_px = 0.0;
  double bow_px = 0.0;  // greatest distance of the spine from its chord
};

// `dark` is CV_32FC1; `inside` says where lines may lie. Lines shorter than `least_px` are left out.
// All lines are given, of the picture too; which is a fault is for the detector to say.
[[nodiscard]] std::vector<DarkLine> dark_lines(const cv::Mat& silver, const cv::Mat& inside, double noise,
                                               double least_px);

}  // namespace platewise
