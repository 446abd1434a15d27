#pragma once

#include <opencv2/core.hpp>

#include "platewise/raster/image.h"

namespace platewise {

// The statistic of spots.h at every pixel, for spots of more silver than around them (CV_32FC1), and how far
// each disc stands above the means over 48 like discs on three rings round it, in their standard deviations:
// an even ground gives much.
struct SpotResponse {
  cv::Mat response;
  cv::Mat evenness;
};
[[nodiscard]] SpotResponse spot_response(const cv::Mat& silver, double radius_px);

// Chance of a response at least so large near a place: a normal upper tail through two quantiles of the
// responses in overlapping tiles. Faults themselves are too rare to move those.
class SpotBackground {
 public:
  // `response` CV_32FC1, counted where `where` is set; tiles with few pixels take the whole picture's tail.
  SpotBackground(const cv::Mat& response, const Mask& where, int tile_px);

  // Standard normal deviate that stands for this response.
  [[nodiscard]] double deviate(int x, int y, float response) const;

 private:
  int tile_px_ = 1;
  cv::Mat middle_;  // one value a tile, CV_32FC1
  cv::Mat sigma_;
};

}  // namespace platewise
