#include <algorithm>
#include <cmath>
#include <numbers>

#include "scanner.h"

namespace platewise {
namespace {

Eigen::Matrix3d turned_about(Point middle_mm, double angle_deg, double px_per_mm, Point middle_px) {
  const double turn = angle_deg * std::numbers::pi / 180.0;  // counter-clockwise on the screen
  const double c = std::cos(turn) * px_per_mm;
  const double s = std::sin(turn) * px_per_mm;
  Eigen::Matrix3d matrix;
  matrix << c, s, middle_px.x - c * middle_mm.x - s * middle_mm.y,  //
      -s, c, middle_px.y + s * middle_mm.x - c * middle_mm.y,       //
      0, 0, 1;
  return matrix;
}

Bedding on_the_bed(const PlateOptions& options, Dice& dice) {
  const double turn = options.angle_deg * std::numbers::pi / 180.0;
  const double across = std::abs(std::cos(turn));
  const double along = std::abs(std::sin(turn));
  const double w = options.width_mm * across + options.height_mm * along;
  const double h = options.width_mm * along + options.height_mm * across;
  const double left = options.surround_mm * dice.uniform(0.6, 1.6);
  const double right = options.surround_mm * dice.uniform(0.6, 1.6);
  const double top = options.surround_mm * dice.uniform(0.6, 1.6);
  const double bottom = options.surround_mm * dice.uniform(0.6, 1.6);
  const double k = options.px_per_mm;
  Bedding bedding;
  bedding.size = {static_cast<int>(std::lround((w + left + right) * k)),
                  static_cast<int>(std::lround((h + top + bottom) * k))};
  const Point middle_px{(left + w / 2.0) * k, (top + h / 2.0) * k};
  bedding.px_from_mm.matrix =
      turned_about({options.width_mm / 2.0, options.height_mm / 2.0}, options.angle_deg, k, middle_px);
  return bedding;
}

// The scan is cropped at the plate: a hair beyond it, or into it on some sides.
Bedding cropped(const PlateOptions& options, Dice& dice) {
  const bool overhangs = options.medium == Medium::overhangs_scan;
  std::array<double, 4> inset{};  // top, right, bottom, left; mm of the plate that are lost
  for (double& side : inset) side = dice.uniform(-0.5, 0.5);
  if (overhangs) {
    const int first = dice.whole(0, 3);
    const int sides = dice.whole(1, 4);
    for (int i = 0; i < sides; ++i) inset[static_cast<std::size_t>((first + i) % 4)] = dice.uniform(1.2, 5.0);
  }
  const double k = options.px_per_mm;
  const double w = options.width_mm - inset[1] - inset[3];
  const double h = options.height_mm - inset[0] - inset[2];
  Bedding bedding;
  bedding.size = {static_cast<int>(std::lround(w * k)), static_cast<int>(std::lround(h * k))};
  constexpr double kMostTurn_deg = 0.5;  // more would leave wedges of bed in the frame
  const Point middle{inset[3] + w / 2.0, inset[0] + h / 2.0};
  bedding.px_from_mm.matrix = turned_about(
      middle, std::clamp(options.angle_deg, -kMostTurn_deg, kMostTurn_deg), k, {w * k / 2.0, h * k / 2.0});
  return bedding;
}

// A hand-held camera: the plate is turned and its far sides are shorter.
Bedding photographed(const PlateOptions& options, Dice& dice) {
  const double k = options.px_per_mm;
  const double w = options.width_mm * k;
  const double h = options.height_mm * k;
  const double lean_x = dice.uniform(-1.0, 1.0) * options.photo.perspective;
  const double lean_y = dice.uniform(-1.0, 1.0) * options.photo.perspective;
  Eigen::Matrix3d perspective = Eigen::Matrix3d::Identity();
  perspective(2, 0) = lean_x / w;
  perspective(2, 1) = lean_y / h;
  Eigen::Matrix3d from_mm =
      turned_about({options.width_mm / 2.0, options.height_mm / 2.0}, options.angle_deg, k, {});
  Bedding bedding;
  bedding.px_from_mm.matrix = perspective * from_mm;
  double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
  for (Point corner : rectangle(options.width_mm, options.height_mm)) {
    const Point p = bedding.px_from_mm(corner);
    left = std::min(left, p.x), right = std::max(right, p.x);
    top = std::min(top, p.y), bottom = std::max(bottom, p.y);
  }
  const double air = options.surround_mm * k;
  const Point origin{left - air * dice.uniform(0.7, 1.8), top - air * dice.uniform(0.7, 1.8)};
  bedding.size = {static_cast<int>(right - origin.x + air * dice.uniform(0.7, 1.8)),
                  static_cast<int>(bottom - origin.y + air * dice.uniform(0.7, 1.8))};
  Eigen::Matrix3d shift = Eigen::Matrix3d::Identity();
  shift(0, 2) = -origin.x;
  shift(1, 2) = -origin.y;
  bedding.px_from_mm.matrix = shift * bedding.px_from_mm.matrix;
  return bedding;
}

}  // namespace

Bedding lay_down(const PlateOptions& options, Dice dice) {
  switch (options.medium) {
    case Medium::black_bed:
    case Medium::white_lid:
      return on_the_bed(options, dice);
    case Medium::fills_scan:
    case Medium::overhangs_scan:
      return cropped(options, dice);
    case Medium::phone_photo:
      return photographed(options, dice);
  }
  return on_the_bed(options, dice);
}

}  // namespace platewise
