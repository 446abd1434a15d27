#pragma once

#include <opencv2/core.hpp>

#include "accuracy/camera.h"
#include "accuracy/plate_drawing.h"
#include "accuracy/random.h"

namespace platewise::heldout {

// What reaches the sensor, and which pixel belongs to what.
struct Composition {
  cv::Mat light;  // CV_32FC3 linear
  cv::Mat plate;  // CV_8UC1 masks
  cv::Mat film;
  cv::Mat picture;
  cv::Mat rim;
};

// Lays a plate on a surround that already has the picture's size, with its shadow and bevelled edge.
struct Laying {
  double shadow = 0.0;  // share of the surround's light lost beside the plate
  double shadow_mm = 1.0;
  Point shadow_toward{1.0, 1.0};
  double bevel = 0.0;  // light added (or taken) along the cut, share of white
  double bevel_mm = 0.4;
};
[[nodiscard]] Composition laid(const PlateDrawing& plate, const Camera& camera, const cv::Mat& surround,
                               const Laying& how);

// Mirror reflections of windows and lamps on the plate: light to be added, CV_32FC1, in the picture's pixels.
[[nodiscard]] cv::Mat reflections(Random& random, const PlateDrawing& plate, const Camera& camera,
                                  cv::Size picture);

// The four sides in the picture as robust lines through what was cut; corners are their intersections.
struct Side {
  Point middle;
  Point along;  // unit vector, clockwise
};
[[nodiscard]] std::array<Side, 4> side_lines(const PlateDrawing& plate, const Camera& camera);
[[nodiscard]] Point intersection(const Side& a, const Side& b);

}  // namespace platewise::heldout
