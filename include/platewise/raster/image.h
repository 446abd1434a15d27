#pragma once

#include <opencv2/core.hpp>

namespace platewise {

// Three kinds of picture that must never be mixed up: linear light, density and masks. Copies share
// their pixels (as cv::Mat does); treat every received image as read-only.

// Linear light, full scale = 1: CIE Y of the linear RGB, or the grey channel itself.
struct LinearImage {
  cv::Mat luminance;  // CV_32FC1, mean over each working pixel
  cv::Mat darkest;    // CV_32FC1, least source value within each working pixel
  cv::Mat lightest;   // CV_32FC1, greatest source value within each working pixel
  cv::Mat rgb;        // CV_32FC3 linear sRGB primaries (R,G,B order); empty for grey scans

  [[nodiscard]] int rows() const { return luminance.rows; }
  [[nodiscard]] int cols() const { return luminance.cols; }
};

// Base-10 density (ISO 5) in the plate frame, upright. NaN where there is no value (outside the plate).
struct DensityImage {
  cv::Mat density;           // CV_32FC1
  double px_per_unit = 1.0;  // pixels per plate unit: mm, or hundredth of the long side

  [[nodiscard]] int rows() const { return density.rows; }
  [[nodiscard]] int cols() const { return density.cols; }
};

// The plate's colours in its frame, upright, coarser than its density: noise and compression leave no more.
struct ColourImage {
  cv::Mat rgb;  // CV_32FC3 linear sRGB light, mean over each pixel; NaN outside the plate; empty: grey scan
  double px_per_unit = 1.0;
  bool photo = false;  // taken by a camera, in whatever light the room had

  [[nodiscard]] bool empty() const { return rgb.empty(); }
};

// Where something holds: CV_8UC1, 255 inside and 0 outside, same size as the image it belongs to.
struct Mask {
  cv::Mat inside;

  [[nodiscard]] bool empty() const { return inside.empty(); }
  [[nodiscard]] double share() const {  // of the whole picture, 0..1
    return inside.empty()
               ? 0.0
               : static_cast<double>(cv::countNonZero(inside)) / static_cast<double>(inside.total());
  }
};

// A picture for eyes: CV_8UC3 in R,G,B order, display-encoded (sRGB).
struct ColourPicture {
  cv::Mat rgb;

  [[nodiscard]] bool empty() const { return rgb.empty(); }
};

}  // namespace platewise
