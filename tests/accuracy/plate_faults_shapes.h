#pragma once

#include <functional>
#include <opencv2/core.hpp>
#include <vector>

#include "accuracy/plate_faults.h"

namespace platewise::heldout {

// A value for each pixel of the canvas from its place in millimetres. CV_32FC1.
[[nodiscard]] cv::Mat field(const Canvas& canvas, const std::function<double(Point)>& value);

// Smooth random wander of about [-1, 1] whose bends are `cell_mm` apart, over the canvas or along one axis.
[[nodiscard]] cv::Mat wander(Random& random, const Canvas& canvas, double cell_mm, int octaves);
class Wobble {
 public:
  Wobble(Random& random, double length_mm, double cell_mm, int octaves = 3);
  [[nodiscard]] double operator()(double mm) const;

 private:
  cv::Mat values_;
};

// 0 below `low`, 1 above `high`, smooth between; `low` may be the larger.
[[nodiscard]] double ramp(double low, double high, double value);
// exp(-(x/sigma)^2 / 2).
[[nodiscard]] double bell(double x, double sigma);

// An edge of the plate as a frame: `along` runs clockwise, `inward` is the depth from it.
struct EdgeFrame {
  Point start;
  Point along;
  Point inward;
  double length_mm = 0.0;
  double depth_mm = 0.0;  // of the plate
  [[nodiscard]] double s(Point mm) const;
  [[nodiscard]] double t(Point mm) const;
  [[nodiscard]] Point at(double along_mm, double depth) const;
};
[[nodiscard]] EdgeFrame edge_frame(const Canvas& canvas, int edge);

// Pixels of the bounding box of outlines, clipped to the canvas, and which of them lie inside. CV_8UC1.
[[nodiscard]] cv::Rect box_px(const Canvas& canvas, const std::vector<Polygon>& parts_mm);
[[nodiscard]] cv::Mat filled_px(const Canvas& canvas, const std::vector<Polygon>& parts_mm, cv::Rect box);

// Antialiased cover of a polygon over the canvas, its edge softened. CV_32FC1 in [0, 1].
[[nodiscard]] cv::Mat cover(const Canvas& canvas, const Polygon& outline_mm, double soft_mm);

// Outlines in millimetres of the parts of a field above a level, those of at least `least_mm2`.
[[nodiscard]] std::vector<Polygon> outlines_above(const Canvas& canvas, const cv::Mat& values, double level,
                                                  double least_mm2);

// The strip of a path, `width(share of its length)` wide.
[[nodiscard]] Polygon strip(const Polygon& path_mm, const std::function<double(double)>& width_mm);

// A place on the plate at least `margin_mm` from its sides.
[[nodiscard]] Point place_mm(Random& random, const Canvas& canvas, double margin_mm);

}  // namespace platewise::heldout
