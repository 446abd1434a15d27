#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// The tone of a piece, without its border. Bare support is even.
struct PieceTone {
  bool is_even = false;  // not when it is too small to say
  double middle = 0.0;   // silver
  double spread = 0.0;

  // Silver that still counts as of this tone.
  [[nodiscard]] double same() const;
};

// `smooth` (CV_32FC1): silver, mean over some pixels, of the plate; `piece` (CV_8UC1) fills `window` of it;
// `step`: silver, across its border.
[[nodiscard]] PieceTone piece_tone(const cv::Mat& smooth, const cv::Mat& piece, cv::Rect window, double step);

// Share of `where` outside `but` and a piece that has no more silver than `silver`. `smooth`, `where` and
// `but` (CV_8UC1; `but` may be empty) are of every second pixel of the plate. Bare support is emptier of it
// than anything in the picture: a dark window or a coat has its like there.
[[nodiscard]] double share_as_dark(const cv::Mat& smooth, const cv::Mat& where, const cv::Mat& but,
                                   const cv::Mat& piece, cv::Rect window, double silver);

// Quantile of a CV_32FC1 picture over a mask, every second pixel of every second row; 0 for an empty one.
[[nodiscard]] double quantile_in(const cv::Mat& picture, const cv::Mat& mask, double share);

}  // namespace platewise
