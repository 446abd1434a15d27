#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace platewise {

// A compact spot around a seed: the pixels joined to it that stand out from what lies around by more than
// half of the spot's contrast.
struct Blob {
  std::vector<cv::Point> outline;  // picture pixels
  double area_px = 0.0;
  double length_px = 0.0;  // long side of the tightest turned rectangle
  double width_px = 0.0;
  double contrast = 0.0;  // of the spot's plainest tenth against its ring, signed by `sign`
  double edge = 0.0;    // rise across one pixel along its outline / contrast; the ring's own rises taken off
  double edge_u = 0.0;  // one sigma of it from the noise in the ring

  [[nodiscard]] double half_radius_px() const;  // of a disc of the same area
};

// `sign` +1 for spots of more silver, -1 for less. Empty when the spot runs into the window's border (it is
// part of something larger) or nothing stands out.
[[nodiscard]] std::optional<Blob> blob_at(const cv::Mat& silver, cv::Point seed, double radius_px, int sign);

}  // namespace platewise
