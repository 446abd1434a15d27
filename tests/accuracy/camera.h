#pragma once

#include <opencv2/core.hpp>

#include "accuracy/random.h"
#include "platewise/core/geometry.h"

namespace platewise::heldout {

// From the plane the plate lies in (millimetres) to picture pixels: a perspective and radial distortion.
struct Camera {
  Homography px_from_mm;
  Point centre_px;
  double radius_px = 1.0;   // half the picture's diagonal
  double distortion = 0.0;  // share of the radius at the corner of the picture

  [[nodiscard]] Point px(Point mm) const;
  [[nodiscard]] Point mm(Point px) const;
};

// A scanner: turned by a small angle, its two axes scaled a little differently.
[[nodiscard]] Camera scanner_view(double px_per_mm, double turn_deg, Point plate_centre_mm, Point centre_px,
                                  double stretch);

// A hand-held camera that looks at the plate's centre, tilted; the plate's long side fills `fill` of the
// picture.
[[nodiscard]] Camera hand_held_view(Random& random, cv::Size picture, Point plate_mm, double fill);

// For each picture pixel, the millimetres it sees. CV_32FC2.
[[nodiscard]] cv::Mat seen_mm(const Camera& camera, cv::Size picture);

// A raster over the plane, (0,0) at `origin_mm`, looked up at the millimetres each pixel sees; `outside`
// beyond it.
[[nodiscard]] cv::Mat seen(const cv::Mat& raster, Point origin_mm, double px_per_mm, const cv::Mat& mm,
                           int border);

}  // namespace platewise::heldout
