#include "corner_order.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace platewise {

Quad scaled(const Quad& quad, double factor) {
  Quad result;
  for (std::size_t i = 0; i < 4; ++i) result[i] = factor * quad[i];
  return result;
}

Quad in_reading_order(Quad corners) {
  Point centre{};
  for (const Point p : corners) centre = centre + 0.25 * p;
  std::sort(corners.begin(), corners.end(), [&](Point a, Point b) {
    return std::atan2(a.y - centre.y, a.x - centre.x) < std::atan2(b.y - centre.y, b.x - centre.x);
  });
  const auto first = std::min_element(corners.begin(), corners.end(),
                                      [](Point a, Point b) { return a.x + a.y < b.x + b.y; });
  std::rotate(corners.begin(), first, corners.end());
  return corners;
}

Quad in_plate_order(const Quad& scan_order, const LocateOptions& options) {
  const auto turns = static_cast<std::size_t>(((options.rotate_deg / 90) % 4 + 4) % 4);
  Quad corners;
  for (std::size_t i = 0; i < 4; ++i) corners[i] = scan_order[(i + 4 - turns) % 4];
  if (options.side == Side::glass) {
    std::swap(corners[0], corners[1]);
    std::swap(corners[3], corners[2]);
  }
  return corners;
}

bool in_perspective(const Quad& corners) {
  constexpr double kCutting_deg = 2.0;  // hand-cut plates stay below (common practice)
  for (std::size_t i = 0; i < 4; ++i) {
    const Point u = corners[(i + 1) % 4] - corners[i];
    const Point v = corners[(i + 3) % 4] - corners[i];
    const double angle = std::atan2(std::abs(u.x * v.y - u.y * v.x), u.x * v.x + u.y * v.y);
    if (std::abs(angle * 180.0 / std::numbers::pi - 90.0) > kCutting_deg) return true;
  }
  return false;
}

}  // namespace platewise
