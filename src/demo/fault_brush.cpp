#include "fault_brush.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "noise.h"

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

Polygon rough_ring(Point centre, double radius_x_mm, double radius_y_mm, double rough, Dice& dice) {
  constexpr int kPoints = 64;
  const auto swing = wandering(kPoints + 1, 20.0, 2.0, 0.6, dice);
  Polygon ring;
  for (int i = 0; i < kPoints; ++i) {
    const auto place = static_cast<std::size_t>(i);
    // Blend the end into the start, so that the ring closes.
    const double u = i / static_cast<double>(kPoints);
    const double here = (1.0 - u) * swing[place] + u * swing[kPoints - place];
    const double factor = std::max(0.2, 1.0 + rough * here);
    const double turn = 2.0 * std::numbers::pi * u;
    ring.push_back(centre +
                   Point{factor * radius_x_mm * std::cos(turn), factor * radius_y_mm * std::sin(turn)});
  }
  return ring;
}

SideSpot side_spot(const PlateFrame& frame, int side, double share) {
  const double w = frame.width_mm;
  const double h = frame.height_mm;
  switch (side) {
    case 0:
      return {{share * w, 0.0}, {0.0, 1.0}, {1.0, 0.0}};
    case 1:
      return {{w, share * h}, {-1.0, 0.0}, {0.0, 1.0}};
    case 2:
      return {{share * w, h}, {0.0, -1.0}, {1.0, 0.0}};
    default:
      return {{0.0, share * h}, {1.0, 0.0}, {0.0, 1.0}};
  }
}

void take_away(cv::Mat& layer, int y, int x, double share) {
  layer.at<float>(y, x) *= static_cast<float>(1.0 - std::clamp(share, 0.0, 1.0));
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
