#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "platewise/raster/image.h"

namespace platewise {

// A spot against the ground round it, in silver.
struct Standing {
  double height = 0.0;
  double scatter = 0.0;
};

// The statistic of spots.h at every pixel of a picture, for one size of spot.
class SpotResponses {
 public:
  SpotResponses(const cv::Mat& silver, double radius_px);

  // For spots of more silver (+1) or less (-1) than around them; CV_32FC1.
  [[nodiscard]] const cv::Mat& of(int sign) const { return sign > 0 ? brighter_ : darker_; }

  // How far the disc at a pixel stands above (below for -1) the mean of 48 like discs on three rings round
  // it, and their standard deviation.
  [[nodiscard]] Standing standing(cv::Point at, int sign) const;

 private:
  [[nodiscard]] cv::Point place(double distance, double turn) const;

  int reach_;                      // of the frame round the picture
  std::vector<cv::Point> places_;  // of all rings, in the framed picture
  cv::Mat framed_;  // disc means, with a mirrored frame for the rings of pixels near the border
  cv::Mat brighter_;
  cv::Mat darker_;
};

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
