#pragma once

#include <opencv2/core.hpp>

#include "platewise/core/geometry.h"
#include "platewise/raster/image.h"

namespace platewise {

// The picture shrunk for the search, in lightness: the eye's cube root of linear light, so that a step in the
// blacks counts as much as one in the whites. One channel, or three for colour (a brown table beside a plate
// of the same lightness).
struct SearchImage {
  cv::Mat lightness;  // CV_32FC1 or CV_32FC3
  double working_px_per_px_x = 1.0;
  double working_px_per_px_y = 1.0;
  double noise = 0.0;  // one sigma of a pixel of the first channel, robust

  [[nodiscard]] int rows() const { return lightness.rows; }
  [[nodiscard]] int cols() const { return lightness.cols; }
  [[nodiscard]] Point working_px(Point search_px) const {
    return {search_px.x * working_px_per_px_x, search_px.y * working_px_per_px_y};
  }
  [[nodiscard]] Point search_px(Point working) const {
    return {working.x / working_px_per_px_x, working.y / working_px_per_px_y};
  }
};

[[nodiscard]] SearchImage search_image(const LinearImage& image);

// Lightness alone; of a colour picture the green one.
[[nodiscard]] cv::Mat one_channel(const SearchImage& search);

// Median of one channel along a stretch; places outside the picture take its border.
[[nodiscard]] double middle_lightness(const cv::Mat& lightness, Point from, Point to);

// CV_8UC1 of `size`: 255 within the outline grown by `scale` about its middle.
[[nodiscard]] cv::Mat outline_mask(cv::Size size, const Quad& corners_px, double scale = 1.0);

// Cube root of linear light (after CIE L*), kept finite in slope at black.
[[nodiscard]] cv::Mat lightness_of(const cv::Mat& linear);

}  // namespace platewise
