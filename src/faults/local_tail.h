#pragma once

#include <opencv2/core.hpp>

#include "platewise/raster/image.h"

namespace platewise {

// How often chance (grain and picture content of this very plate, near this very place) gives a filter
// response at least so large. The upper tail of the responses in a neighbourhood is taken as a Weibull tail,
//   P(R >= r) = exp(-(r / a)^c),
// through its 95 and 99.5 percent quantiles: c is about 1.3 for Gaussian grain (a little cautious) and
// smaller where the picture itself is full of spots. Percentiles this low are not moved by the faults
// themselves.
class LocalTail {
 public:
  // `response` CV_32FC1; counted where `where` is set. Neighbourhoods are tiles of `tile_px` with bilinear
  // blending; tiles with too few pixels take the whole picture's tail.
  LocalTail(const cv::Mat& response, const Mask& where, int tile_px);

  // log10 P at a place, never above 0.
  [[nodiscard]] double log10_probability(int x, int y, float response) const;

 private:
  int tile_px_ = 1;
  cv::Mat log_a_;  // one value a tile, CV_32FC1
  cv::Mat c_;
};

}  // namespace platewise
