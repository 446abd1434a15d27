#pragma once

#include <opencv2/core.hpp>

#include "platewise/raster/image.h"

namespace platewise {

// Chance of a response at least so large near a place: an upper tail through two quantiles of the responses
// in overlapping tiles, normal below the higher one and exponential beyond it, because a picture's responses
// have heavier tails than grain alone. Faults themselves are too rare to move those.
class SpotBackground {
 public:
  // `response` CV_32FC1, counted where `where` is set; tiles with few pixels take the whole picture's tail.
  SpotBackground(const cv::Mat& response, const Mask& where, int tile_px);

  // Standard normal deviate that stands for this response.
  [[nodiscard]] double deviate(int x, int y, float response) const;

  // log10 of the chance of this response or more.
  [[nodiscard]] double log10_tail(int x, int y, float response) const;

 private:
  int tile_px_ = 1;
  cv::Mat middle_;  // one value a tile, CV_32FC1
  cv::Mat sigma_;
};

}  // namespace platewise
