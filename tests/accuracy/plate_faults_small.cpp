// Small marks: specks, comets and scratches.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "accuracy/plate_faults_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout::brush {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

double screen_deg(double radians) {
  return std::fmod(-radians * 180.0 / std::numbers::pi + 720.0, 360.0);
}

Polygon crumb(Random& random, Point centre, double length, double width) {
  Polygon outline;
  const int points = random.integer(7, 13);
  const double turn = random.uniform(0.0, kTurn);
  for (int i = 0; i < points; ++i) {
    const double angle = kTurn * i / points;
    const double u = 0.5 * length * random.uniform(0.75, 1.05) * std::cos(angle);
    const double v = 0.5 * width * random.uniform(0.75, 1.05) * std::sin(angle);
    outline.push_back(
        centre + Point{u * std::cos(turn) - v * std::sin(turn), u * std::sin(turn) + v * std::cos(turn)});
  }
  return outline;
}

Polygon fibre(Random& random, Point from, double length) {
  Polygon path{from};
  double heading = random.uniform(0.0, kTurn);
  const double bend = random.normal(0.0, 0.12);
  for (double gone = 0.0; gone < length; gone += 0.2) {
    heading += bend + random.normal(0.0, 0.1);
    path.push_back(path.back() + 0.2 * Point{std::cos(heading), std::sin(heading)});
  }
  return strip(path, [](double) { return 0.12; });
}

// The largest change wins where pieces overlap.
struct Paint {
  double soft_mm = 0.03;
  double strength = 1.0;
  double value = 1.0;             // to add, or to go toward
  const cv::Mat* from = nullptr;  // what is there, if the paint covers it
};

void paint(const Canvas& canvas, cv::Mat& into, const Polygon& outline, const Paint& how) {
  const int reach = static_cast<int>(4.0 * how.soft_mm * canvas.px_per_mm) + 3;
  cv::Rect box = box_px(canvas, {outline});
  box = cv::Rect(box.x - reach, box.y - reach, box.width + 2 * reach, box.height + 2 * reach) &
        cv::Rect({}, canvas.size());
  if (box.empty()) return;
  Canvas part = canvas;
  part.silver = canvas.silver(box);
  Polygon moved = outline;
  for (Point& p : moved) p = p - (1.0 / canvas.px_per_mm) * Point{1.0 * box.x, 1.0 * box.y};
  const cv::Mat share = how.strength * cover(part, moved, how.soft_mm);
  const cv::Mat change =
      how.from != nullptr ? cv::Mat(share.mul(how.value - (*how.from)(box))) : cv::Mat(how.value * share);
  cv::Mat target = into(box);
  change.copyTo(target, cv::abs(change) > cv::abs(target));
}

cv::Mat nothing(const Canvas& canvas) {
  return cv::Mat::zeros(canvas.size(), CV_32FC1);
}

// Silver of a light particle or a spot that reduced silver by itself.
double light_spot(Random& random, const Canvas& canvas) {
  return canvas.positive ? canvas.bare_light_density - random.uniform(0.2, 0.5)
                         : canvas.full_silver * random.uniform(0.8, 1.3);
}

// Head and tail of one comet: the tail is drawn in slices that fade and taper.
Shape comet(Random& random, const Canvas& canvas, double heading, double value, cv::Mat& into) {
  const double head = random.log_uniform(0.3, 1.8);
  const double tail = std::max(2.0, head * random.log_uniform(4.0, 14.0));
  const Point at = place_mm(random, canvas, 5.0);
  Polygon path;
  const double bend = random.normal(0.0, 0.15) / tail;
  double way = heading;
  Point p = at;
  constexpr int kSteps = 24;
  for (int i = 0; i <= kSteps; ++i) {
    path.push_back(p);
    way += bend * tail / kSteps;
    p = p + (tail / kSteps) * Point{std::cos(way), std::sin(way)};
  }
  const auto width = [&](double u) { return head * (0.85 - 0.65 * u); };
  for (int i = 0; i < kSteps; ++i) {
    const double u = static_cast<double>(i) / kSteps;
    const Polygon piece{path[static_cast<std::size_t>(i)], path[static_cast<std::size_t>(i) + 1]};
    paint(canvas, into, strip(piece, [&](double v) { return width(u + v / kSteps); }),
          {0.08, 0.75 * std::pow(1.0 - u, 0.8), value, &canvas.silver});
  }
  paint(canvas, into, crumb(random, at, head, head * random.uniform(0.8, 1.0)),
        {0.03, 1.0, value, &canvas.silver});
  Polygon outline = strip(path, width);
  const Point back = at - (0.5 * head) * Point{std::cos(heading), std::sin(heading)};
  outline.push_back(back);
  return {{outline}, tail + 0.5 * head, head, screen_deg(heading)};
}

}  // namespace

Stroke pinholes(Random& random, const Canvas& canvas) {
  Stroke stroke;
  stroke.film_removed = nothing(canvas);
  const EdgeFrame low = edge_frame(canvas, canvas.dip_edge);
  const int many = static_cast<int>(random.log_uniform(8, 90));
  for (int i = 0; i < many; ++i) {
    Point at = place_mm(random, canvas, 2.5);
    // Denser low in the bath.
    if (random.chance(0.5)) at = at - (0.5 * low.t(at) - 1.5) * low.inward;
    const double size = random.log_uniform(0.06, 0.42);
    const Polygon outline = crumb(random, at, size, size * random.uniform(0.75, 1.0));
    paint(canvas, stroke.film_removed, outline, {.soft_mm = 0.015});
    stroke.shapes.push_back({{outline}, size, size, 0.0});
  }
  return stroke;
}

Stroke dust(Random& random, const Canvas& canvas) {
  Stroke stroke;
  stroke.silver_added = nothing(canvas);
  const double light = light_spot(random, canvas);
  const int many = static_cast<int>(random.log_uniform(3, 18));
  for (int i = 0; i < many; ++i) {
    const Point at = place_mm(random, canvas, 3.0);
    const double value = random.chance(0.5) ? light : 0.0;
    const bool thread = random.chance(0.2);
    const double length = thread ? random.log_uniform(2.0, 8.0) : random.log_uniform(0.25, 2.0);
    const double width = thread ? 0.12 : length * random.uniform(0.45, 1.0);
    const Polygon outline = thread ? fibre(random, at, length) : crumb(random, at, length, width);
    paint(canvas, stroke.silver_added, outline, {.value = value, .from = &canvas.silver});
    stroke.shapes.push_back({{outline}, length, width, 0.0});
  }
  return stroke;
}

Stroke comets(Random& random, const Canvas& canvas) {
  Stroke stroke;
  // The film's comets follow the run-off, the bath's the dip.
  const Point middle{0.5 * canvas.width_mm, 0.5 * canvas.height_mm};
  const Point run = canvas.corner_mm(canvas.drain_corner) - middle;
  const Point up = edge_frame(canvas, canvas.dip_edge).inward;
  const double heading =
      (random.chance(0.6) ? std::atan2(-run.y, -run.x) : std::atan2(up.y, up.x)) + random.normal(0.0, 0.15);
  const int many = random.integer(1, 6);
  const bool shaded = random.chance(0.4);
  stroke.silver_added = nothing(canvas);
  const double light = light_spot(random, canvas);
  for (int i = 0; i < many; ++i)
    stroke.shapes.push_back(
        comet(random, canvas, heading + random.normal(0.0, 0.06), shaded ? 0.0 : light, stroke.silver_added));
  return stroke;
}

Stroke scratches(Random& random, const Canvas& canvas) {
  Stroke stroke;
  stroke.film_removed = nothing(canvas);
  const bool along_side = random.chance(0.6);
  const double side = random.chance(0.5) ? 0.0 : std::numbers::pi / 2.0;
  for (int i = random.integer(1, 4); i > 0; --i) {
    const double length = random.log_uniform(4.0, 70.0);
    const double width = random.log_uniform(0.07, 0.6);
    const double heading = along_side ? side + random.normal(0.0, 0.08) : random.uniform(0.0, kTurn);
    const double bend = random.normal(0.0, 0.08) / length;
    const Point centre = place_mm(random, canvas, 4.0);
    Polygon path;
    constexpr int kSteps = 30;
    for (int k = 0; k <= kSteps; ++k) {
      const double along = length * (static_cast<double>(k) / kSteps - 0.5);
      const double across = 0.5 * bend * along * along;
      path.push_back(centre + along * Point{std::cos(heading), std::sin(heading)} +
                     across * Point{-std::sin(heading), std::cos(heading)});
    }
    // Fine at both ends, and here and there skipping.
    const Wobble press(random, length, 3.0);
    const Polygon outline = strip(path, [&](double u) {
      const double ends = std::min(1.0, 6.0 * std::min(u, 1.0 - u) + 0.2);
      return std::max(0.04, width * ends * (1.0 + 0.3 * press(length * u)));
    });
    paint(canvas, stroke.film_removed, outline, {.soft_mm = 0.015, .strength = random.uniform(0.6, 1.0)});
    stroke.shapes.push_back({{outline}, length, width, std::fmod(screen_deg(heading), 180.0)});
  }
  return stroke;
}

}  // namespace platewise::heldout::brush
