#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace platewise {

// A compact spot around a seed: the pixels joined to it that stand out from the ring around by more than half
// of the seed's contrast.
struct Blob {
  std::vector<cv::Point> outline;  // picture pixels
  double area_px = 0.0;
  double length_px = 0.0;  // long side of the tightest turned rectangle
  double width_px = 0.0;
  double contrast = 0.0;   // mean of the spot against its ring, signed by `sign`
  double sharpness = 0.0;  // steepest rise across one pixel / contrast: 1 for a hard edge
};

// `sign` +1 for spots of more silver, -1 for less. Empty when the spot runs into the window's border (it is
// part of something larger) or nothing stands out.
[[nodiscard]] std::optional<Blob> blob_at(const cv::Mat& silver, cv::Point seed, double radius_px, int sign);

}  // namespace platewise
