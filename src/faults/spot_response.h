#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// Silver; under an 8-bit code value in the lights: blocked grain.
inline constexpr double kLeastSpotSigma = 0.003;

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

}  // namespace platewise
