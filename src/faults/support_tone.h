#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// Where a piece of the plate is compared with the rest: all of one size.
struct TonesOfPlate {
  const cv::Mat& smooth;   // CV_32FC1: silver, mean over some pixels
  const cv::Mat& film;     // CV_8UC1
  const cv::Mat& picture;  // CV_8UC1, part of the film
};

// How far a piece has the tone of bare support, which is even, and emptier of silver than anything in the
// picture: a dark window or a coat has its like there. The rim of a plate without fog is as empty, so that
// only a piece in the rim is compared with all film.
struct SupportTone {
  bool is_even = false;
  bool in_picture = false;
  double as_dark = 1.0;  // share of the picture (of the film, for a piece in the rim) outside the piece
};

// `piece` (CV_8UC1) fills `window` of the plate; `step`: silver, across its border. Not even when it is too
// small to say.
[[nodiscard]] SupportTone support_tone(const TonesOfPlate& plate, const cv::Mat& piece, cv::Rect window,
                                       double step);

// Quantile of a CV_32FC1 picture over a mask, every second pixel of every second row; 0 for an empty one.
[[nodiscard]] double quantile_in(const cv::Mat& picture, const cv::Mat& mask, double share);

}  // namespace platewise
