#include "fault_brush.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {

void over_box(const PlateFrame& frame, Point low_mm, Point high_mm,
              const std::function<void(Point, int, int)>& paint) {
  const Point low = frame.px(low_mm);
  const Point high = frame.px(high_mm);
  const cv::Size size = frame.size();
  const int x0 = std::max(0, static_cast<int>(std::floor(low.x)) - 1);
  const int x1 = std::min(size.width - 1, static_cast<int>(std::ceil(high.x)) + 1);
  const int y0 = std::max(0, static_cast<int>(std::floor(low.y)) - 1);
  const int y1 = std::min(size.height - 1, static_cast<int>(std::ceil(high.y)) + 1);
  for (int y = y0; y <= y1; ++y)
    for (int x = x0; x <= x1; ++x) paint({frame.mm_x(x), frame.mm_y(y)}, y, x);
}

Point somewhere(const PlateFrame& frame, double away_mm, Dice& dice) {
  const double x = dice.uniform(away_mm, std::max(away_mm + 0.1, frame.width_mm - away_mm));
  const double y = dice.uniform(away_mm, std::max(away_mm + 0.1, frame.height_mm - away_mm));
  return {x, y};
}

void mark_outline(PlateLayers& layers, TrueFault& fault) {
  Point low{1e9, 1e9};
  Point high{-1e9, -1e9};
  std::vector<cv::Point> points;
  for (Point p : fault.outline_mm) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    const Point px = layers.frame.px(p);
    points.emplace_back(static_cast<int>(std::floor(px.x)), static_cast<int>(std::floor(px.y)));
  }
  fault.box_origin_mm = low;
  fault.box_width_mm = high.x - low.x;
  fault.box_height_mm = high.y - low.y;
  if (points.size() > 2)
    cv::fillPoly(layers.faulty, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255));
}

Polygon band_outline(const Polygon& middle, double half_width_mm) {
  Polygon one_side, other_side;
  for (std::size_t i = 0; i < middle.size(); ++i) {
    const Point before = middle[i == 0 ? 0 : i - 1];
    const Point after = middle[std::min(i + 1, middle.size() - 1)];
    const double length = std::max(1e-9, std::hypot(after.x - before.x, after.y - before.y));
    const Point across{-(after.y - before.y) / length, (after.x - before.x) / length};
    one_side.push_back(middle[i] + half_width_mm * across);
    other_side.push_back(middle[i] - half_width_mm * across);
  }
  one_side.insert(one_side.end(), other_side.rbegin(), other_side.rend());
  return one_side;
}

}  // namespace platewise
