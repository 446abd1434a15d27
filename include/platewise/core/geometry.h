#pragma once

#include <Eigen/Core>
#include <array>
#include <vector>

namespace platewise {

// Points and outlines. A variable's name says the frame: `_px` is the scan as stored after EXIF
// orientation, `_working_px` the shrunk scan, `_units` the plate frame: millimetres from the plate's
// top-left corner, or hundredths of its long side where the scale is unknown.
// Pixel coordinates are continuous: (0,0) is the outer corner of the first pixel, its centre is
// (0.5,0.5). So shrinking by a factor divides coordinates by it, exactly. +y is down.
struct Point {
  double x = 0.0;
  double y = 0.0;

  friend bool operator==(const Point&, const Point&) = default;
};

// Corners in the order top left, top right, bottom right, bottom left.
using Quad = std::array<Point, 4>;
using Polygon = std::vector<Point>;

[[nodiscard]] Point operator+(Point a, Point b);
[[nodiscard]] Point operator-(Point a, Point b);
[[nodiscard]] Point operator*(double factor, Point a);
[[nodiscard]] double distance(Point a, Point b);

// Area by the shoelace rule, never negative. Zero for fewer than three points.
[[nodiscard]] double area(const Polygon& outline);
[[nodiscard]] double area(const Quad& quad);

// True for a convex quadrilateral without (nearly) collinear corners, in either turning sense.
[[nodiscard]] bool is_convex(const Quad& quad);

// Angle of the direction from a to b as the contract defines it: degrees counter-clockwise on the
// screen, atan2(-dy, dx), in [0, 360).
[[nodiscard]] double screen_angle_deg(Point from, Point to);

// A plane perspective map, `target_from_source`. Identity by default.
struct Homography {
  Eigen::Matrix3d matrix = Eigen::Matrix3d::Identity();

  [[nodiscard]] Point operator()(Point source) const;
  [[nodiscard]] Homography inverse() const;
};

// The map that takes each corner of `source` to the same corner of `target`. Both must be convex.
[[nodiscard]] Homography target_from_source(const Quad& source, const Quad& target);

// Corners of the axis-parallel rectangle (0,0)-(width,height).
[[nodiscard]] Quad rectangle(double width, double height);

}  // namespace platewise
