#include "plate_layers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "noise.h"

namespace platewise {
namespace {

constexpr double kBeadMm = 0.7;       // width of the thick line along the film's edge (faults.csv: 0.5-2)
constexpr double kBeadThicker = 0.2;  // share of silver more in it; PRACTICE

Quad shifted_corners(double width, double height, double by, Dice& dice) {
  Quad quad = rectangle(width, height);
  for (Point& corner : quad) corner = corner + Point{dice.uniform(-by, by), dice.uniform(-by, by)};
  return quad;
}

float coverage(double distance_mm, double px_per_mm) {
  return static_cast<float>(std::clamp(0.5 + distance_mm * px_per_mm, 0.0, 1.0));
}

struct CornerCut {
  Point corner;
  Point inward;
  double depth = 0.0;      // along `inward`
  double curvature = 0.0;  // 1/mm of the flow edge
};

double cut_distance(const CornerCut& cut, Point at) {
  const Point from = at - cut.corner;
  const double along = from.x * cut.inward.x + from.y * cut.inward.y;
  const double across = -from.x * cut.inward.y + from.y * cut.inward.x;
  return along - cut.depth + cut.curvature * across * across;
}

CornerCut corner_cut(const Quad& quad, int corner, double depth, double curvature, Dice& dice) {
  const auto c = static_cast<std::size_t>(corner);
  const Point middle = 0.25 * (quad[0] + quad[1] + quad[2] + quad[3]);
  const double angle = std::atan2(middle.y > quad[c].y ? 1.0 : -1.0, middle.x > quad[c].x ? 1.0 : -1.0) +
                       dice.uniform(-0.3, 0.3);
  return {quad[c], {std::cos(angle), std::sin(angle)}, depth, curvature};
}

std::vector<int> some_corners(int count, Dice& dice) {
  std::vector<int> corners{0, 1, 2, 3};
  for (std::size_t i = 3; i > 0; --i)
    std::swap(corners[i], corners[static_cast<std::size_t>(dice.whole(0, static_cast<int>(i)))]);
  corners.resize(static_cast<std::size_t>(std::clamp(count, 0, 4)));
  return corners;
}

template <class Distance>
void fill_from_distance(cv::Mat& layer, const PlateFrame& frame, Distance distance) {
  for (int y = 0; y < layer.rows; ++y) {
    auto* row = layer.ptr<float>(y);
    for (int x = 0; x < layer.cols; ++x)
      row[x] = coverage(distance(Point{frame.mm_x(x), frame.mm_y(y)}, x, y), frame.px_per_mm);
  }
}

void cut_plate(PlateLayers& layers, const CutOptions& cut, Dice dice) {
  const PlateFrame& frame = layers.frame;
  const cv::Mat ragged = fractal_noise(frame.size(), 6.0 * frame.px_per_mm, 0.3 * frame.px_per_mm, 0.7, dice);
  std::vector<CornerCut> clips;
  for (int corner : some_corners(cut.clipped_corners, dice))
    clips.push_back(
        corner_cut(frame.cut, corner, cut.clip_mm * dice.uniform(0.5, 1.0) / std::numbers::sqrt2, 0.0, dice));
  const InsideDistance inside(frame.cut, cut.rounding_mm);
  fill_from_distance(layers.plate, frame, [&](Point at, int x, int y) {
    double distance = inside(at);
    for (const CornerCut& clip : clips) distance = std::min(distance, cut_distance(clip, at));
    return distance + cut.ragged_mm * ragged.at<float>(y, x);
  });
}

Quad opening_quad(const PlateFrame& frame, const RimOptions& rim, Dice& dice) {
  constexpr double kBeyond = 8.0;  // mm: an open side lies well outside the plate
  std::array<double, 4> inset{};   // top, right, bottom, left
  for (double& side : inset) side = std::max(0.8, rim.width_mm + dice.uniform(-rim.uneven_mm, rim.uneven_mm));
  if (rim.style == RimStyle::two_sides) {
    const std::size_t first = dice.chance(0.5) ? 0 : 1;
    inset[first] = inset[first + 2] = -kBeyond;
  }
  const double w = frame.width_mm;
  const double h = frame.height_mm;
  Quad quad{Point{inset[3], inset[0]}, Point{w - inset[1], inset[0]}, Point{w - inset[1], h - inset[2]},
            Point{inset[3], h - inset[2]}};
  const double turn = dice.uniform(-rim.tilt_deg, rim.tilt_deg) * std::numbers::pi / 180.0;
  const Point middle{w / 2.0, h / 2.0};
  for (Point& corner : quad) {
    const Point from = corner - middle;
    corner = middle + Point{from.x * std::cos(turn) + from.y * std::sin(turn),
                            -from.x * std::sin(turn) + from.y * std::cos(turn)};
  }
  return quad;
}

Polygon rounded_outline(const Quad& quad, double radius) {
  Polygon outline;
  constexpr int kArc = 8;
  for (std::size_t c = 0; c < 4; ++c) {
    const Point corner = quad[c];
    const Point before = quad[(c + 3) % 4] - corner;
    const Point after = quad[(c + 1) % 4] - corner;
    const Point u = (1.0 / std::hypot(before.x, before.y)) * before;
    const Point v = (1.0 / std::hypot(after.x, after.y)) * after;
    for (int i = 0; i <= kArc; ++i) {
      const double turn = std::numbers::pi / 2.0 * i / kArc;
      outline.push_back(corner + (radius * (1.0 - std::sin(turn))) * u +
                        (radius * (1.0 - std::cos(turn))) * v);
    }
  }
  return outline;
}

// The holder's opening, as light through a slightly distant frame.
void open_holder(PlateLayers& layers, const RimOptions& rim, Dice dice) {
  const PlateFrame& frame = layers.frame;
  if (rim.style == RimStyle::none) {
    layers.opening.setTo(cv::Scalar(1.0));
    return;
  }
  const Quad quad = opening_quad(frame, rim, dice);
  const InsideDistance inside(quad, rim.corner_radius_mm);
  fill_from_distance(layers.opening, frame, [&](Point at, int, int) { return inside(at); });
  cv::GaussianBlur(layers.opening, layers.opening, {}, std::max(0.3, rim.softness_mm * frame.px_per_mm));
  layers.opening_outline_mm = rounded_outline(quad, rim.corner_radius_mm);
}

struct FlowEdge {
  Quad quad;
  double wander = 0.0;
  std::vector<CornerCut> bare;
};

FlowEdge flow_edge(const PlateFrame& frame, const FilmOptions& film, Dice& dice) {
  FlowEdge edge;
  edge.wander = film.edge == FilmEdge::full ? 0.0 : film.wander_mm;
  const double mean = film.edge == FilmEdge::full ? -5.0 : film.inset_mm;
  const double spread = film.edge == FilmEdge::full ? 0.0 : 1.2 * film.wander_mm;
  edge.quad = frame.cut;
  const std::array<Point, 4> inward{Point{1, 1}, Point{-1, 1}, Point{-1, -1}, Point{1, -1}};
  for (std::size_t c = 0; c < 4; ++c)
    edge.quad[c] = edge.quad[c] + Point{inward[c].x * (mean + dice.uniform(-spread, spread)),
                                        inward[c].y * (mean + dice.uniform(-spread, spread))};
  if (film.edge != FilmEdge::bare_corners) return edge;
  for (int corner : some_corners(film.bare_corners, dice))
    edge.bare.push_back(corner_cut(frame.cut, corner, film.bare_corner_mm * dice.uniform(0.75, 1.25),
                                   dice.uniform(-0.015, 0.03), dice));
  return edge;
}

// Collodion flows to a wandering line with a bead along it, and is nowhere quite even.
void pour(PlateLayers& layers, const FilmOptions& film, Dice dice) {
  const PlateFrame& frame = layers.frame;
  const FlowEdge edge = flow_edge(frame, film, dice);
  const cv::Mat wander =
      fractal_noise(frame.size(), 28.0 * frame.px_per_mm, 0.4 * frame.px_per_mm, 0.5, dice);
  const cv::Mat uneven =
      fractal_noise(frame.size(), 70.0 * frame.px_per_mm, 12.0 * frame.px_per_mm, 0.5, dice);
  const cv::Mat lumpy = smooth_noise(frame.size(), 4.0 * frame.px_per_mm, dice);
  constexpr double kFlowCornerMm = 4.0;  // the flow never turns a sharp corner
  const InsideDistance inside(edge.quad, film.edge == FilmEdge::full ? 0.0 : kFlowCornerMm);
  for (int y = 0; y < layers.film.rows; ++y) {
    auto* covered = layers.film.ptr<float>(y);
    auto* thick = layers.thickness.ptr<float>(y);
    for (int x = 0; x < layers.film.cols; ++x) {
      const Point at{frame.mm_x(x), frame.mm_y(y)};
      double distance = inside(at);
      for (const CornerCut& cut : edge.bare) distance = std::min(distance, cut_distance(cut, at));
      distance += edge.wander * wander.at<float>(y, x);
      covered[x] = coverage(distance, frame.px_per_mm);
      const double bead = std::max(0.0, 1.0 - std::abs(distance - kBeadMm) / kBeadMm);
      const double beads = kBeadThicker * (0.7 + 0.5 * lumpy.at<float>(y, x));
      thick[x] = static_cast<float>(
          std::max(0.3, 1.0 + film.unevenness * uneven.at<float>(y, x) + std::max(0.0, beads * bead)));
    }
  }
}

}  // namespace

cv::Size PlateFrame::size() const {
  return {static_cast<int>(std::lround((width_mm + 2.0 * border_mm) * px_per_mm)),
          static_cast<int>(std::lround((height_mm + 2.0 * border_mm) * px_per_mm))};
}

InsideDistance::InsideDistance(const Quad& quad, double radius_mm) : radius_(radius_mm) {
  for (std::size_t c = 0; c < 4; ++c) {
    const Point a = quad[c];
    const Point along = quad[(c + 1) % 4] - a;
    const double length = std::hypot(along.x, along.y);
    sides_[c] = {-along.y / length, along.x / length, (along.y * a.x - along.x * a.y) / length};
  }
}

double InsideDistance::operator()(Point at) const {
  const double dx = std::min(sides_[1](at), sides_[3](at));
  const double dy = std::min(sides_[0](at), sides_[2](at));
  if (dx < radius_ && dy < radius_) {
    const double x = radius_ - dx;
    const double y = radius_ - dy;
    return radius_ - std::sqrt(x * x + y * y);
  }
  return std::min(dx, dy);
}

PlateLayers blank_layers(const PlateOptions& options, Dice dice) {
  PlateLayers layers;
  layers.frame.width_mm = options.width_mm;
  layers.frame.height_mm = options.height_mm;
  layers.frame.px_per_mm = options.px_per_mm;
  Dice cutting = dice.part(1);
  layers.frame.cut = shifted_corners(options.width_mm, options.height_mm, options.cut.irregular_mm, cutting);
  const cv::Size size = layers.frame.size();
  const auto layer = [&](double value) { return cv::Mat(size, CV_32FC1, cv::Scalar(value)); };
  layers.plate = layer(0.0);
  layers.opening = layer(0.0);
  layers.film = layer(0.0);
  layers.thickness = layer(1.0);
  layers.veil = layer(0.0);
  layers.dust = layer(0.0);
  layers.dust_density = layer(0.0);
  layers.faulty = cv::Mat::zeros(size, CV_8UC1);
  layers.seen = cv::Mat(size, CV_8UC1, cv::Scalar(255));
  cut_plate(layers, options.cut, dice.part(2));
  open_holder(layers, options.rim, dice.part(3));
  pour(layers, options.film, dice.part(4));
  return layers;
}

}  // namespace platewise
