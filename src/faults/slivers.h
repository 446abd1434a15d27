#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// How slivers along the edge of a part of the plate are taken off.
struct SliverOptions {
  double px_per_unit = 1.0;
  double inset_px = 0.0;   // from the edge to where the bare places begin
  bool keep_bays = false;  // narrow parts that reach farther in, and pieces away from the edge
};

// Takes off the slivers along the edge that every hand-poured plate has, and which would join what lies at
// different places of it: whatever is not deep all round. Beyond the edge counts as deep, else corners would
// be cut off. `from_edge`: distance within the part, pixels, 0 beyond.
void take_slivers_off(cv::Mat& bare, const cv::Mat& from_edge, const SliverOptions& options);

}  // namespace platewise
