#include "platewise/core/geometry.h"

#include <Eigen/Dense>
#include <cmath>
#include <numbers>

namespace platewise {
namespace {

double cross(Point origin, Point a, Point b) {
  return (a.x - origin.x) * (b.y - origin.y) - (a.y - origin.y) * (b.x - origin.x);
}

}  // namespace

Point operator+(Point a, Point b) {
  return {a.x + b.x, a.y + b.y};
}
Point operator-(Point a, Point b) {
  return {a.x - b.x, a.y - b.y};
}
Point operator*(double factor, Point a) {
  return {factor * a.x, factor * a.y};
}
double distance(Point a, Point b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

double area(const Polygon& outline) {
  double twice = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = outline[i];
    const Point b = outline[(i + 1) % outline.size()];
    twice += a.x * b.y - b.x * a.y;
  }
  return std::abs(twice) / 2.0;
}

double area(const Quad& quad) {
  return area(Polygon(quad.begin(), quad.end()));
}

bool is_convex(const Quad& quad) {
  const double tolerance = 1e-9 * area(quad);
  int positive = 0;
  int negative = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const double turn = cross(quad[i], quad[(i + 1) % 4], quad[(i + 2) % 4]);
    positive += turn > tolerance;
    negative += turn < -tolerance;
  }
  return positive == 4 || negative == 4;
}

double screen_angle_deg(Point from, Point to) {
  const double angle = std::atan2(-(to.y - from.y), to.x - from.x) * 180.0 / std::numbers::pi;
  return angle < 0 ? angle + 360.0 : angle;
}

Point Homography::operator()(Point source) const {
  const Eigen::Vector3d target = matrix * Eigen::Vector3d(source.x, source.y, 1.0);
  return {target.x() / target.z(), target.y() / target.z()};
}

Homography Homography::inverse() const {
  return {matrix.inverse()};
}

Homography target_from_source(const Quad& source, const Quad& target) {
  Eigen::Matrix<double, 8, 8> equations = Eigen::Matrix<double, 8, 8>::Zero();
  Eigen::Matrix<double, 8, 1> right;
  for (int i = 0; i < 4; ++i) {
    const auto [x, y] = source[static_cast<std::size_t>(i)];
    const auto [X, Y] = target[static_cast<std::size_t>(i)];
    equations.row(2 * i) << x, y, 1, 0, 0, 0, -X * x, -X * y;
    equations.row(2 * i + 1) << 0, 0, 0, x, y, 1, -Y * x, -Y * y;
    right(2 * i) = X;
    right(2 * i + 1) = Y;
  }
  const Eigen::Matrix<double, 8, 1> h = equations.fullPivLu().solve(right);
  Homography map;
  map.matrix << h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), 1.0;
  return map;
}

Quad rectangle(double width, double height) {
  return {{{0, 0}, {width, 0}, {width, height}, {0, height}}};
}

}  // namespace platewise
