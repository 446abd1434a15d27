#include "polygon_clip.h"

#include <functional>

namespace platewise {
namespace {

Polygon clipped(const Polygon& outline, const std::function<double(Point)>& inside) {
  Polygon result;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = outline[i];
    const Point b = outline[(i + 1) % outline.size()];
    const double at_a = inside(a);
    const double at_b = inside(b);
    if (at_a >= 0.0) result.push_back(a);
    if ((at_a >= 0.0) != (at_b >= 0.0)) result.push_back(a + (at_a / (at_a - at_b)) * (b - a));
  }
  return result;
}

}  // namespace

Polygon clipped_to_rectangle(const Polygon& outline, double width, double height) {
  Polygon result = clipped(outline, [](Point p) { return p.x; });
  result = clipped(result, [width](Point p) { return width - p.x; });
  result = clipped(result, [](Point p) { return p.y; });
  return clipped(result, [height](Point p) { return height - p.y; });
}

}  // namespace platewise
