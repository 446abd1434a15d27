#pragma once

#include "front_path.h"

namespace platewise {

// One comparison across a front, at every row of every block: how much less silver there is (`loss`) than on
// the side that was spared, and how much silver above the picture's floor that side holds (`level`).
struct Loss {
  cv::Mat loss;   // CV_32FC1, rows x blocks
  cv::Mat level;  // CV_32FC1
  cv::Mat known;  // CV_8UC1
};

// Whichever way the spared side lies: rows [from, to) of it against rows [lost_from, lost_to), both counted
// from the front, units.
struct Windows {
  double from, to;
  double lost_from, lost_to;
};
[[nodiscard]] Loss loss_across(const Blocks& blocks, const FlowPicture& picture, const Windows& windows);

// Logarithm of how much better "the share `weaker` of the silver is missing" explains the loss than the
// picture's own unevenness does, per block: a process mark takes the same share everywhere, so that it counts
// against it where much silver lies and none is missing. Noise: Student's t of two degrees of freedom with
// the local scale of the same loss round about (pictures have heavy tails). At most `kMost` for any one
// block.
[[nodiscard]] cv::Mat log_likelihood_ratio(const Loss& loss, double weaker, double grain, double px_per_unit);

}  // namespace platewise
