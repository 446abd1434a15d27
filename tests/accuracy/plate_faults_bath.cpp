// What the silver bath and the developer leave: streaks, halts, tide lines, curtains.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "accuracy/plate_faults_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout::brush {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

double line_angle_deg(Point along) {
  return std::fmod(-std::atan2(along.y, along.x) * 180.0 / std::numbers::pi + 720.0, 180.0);
}

struct Streak {
  double s = 0.0;  // from the edge's start
  double half_mm = 1.0;
  double length_mm = 30.0;
  double sign = 1.0;
  double lean = 0.0;
};

double in_streak(const Streak& streak, double s, double t) {
  const double across = std::abs(s - streak.s - streak.lean * t);
  return ramp(1.3 * streak.half_mm, 0.6 * streak.half_mm, across) *
         ramp(streak.length_mm, 0.75 * streak.length_mm, t);
}

}  // namespace

Stroke dip_streaks(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, canvas.dip_edge);
  std::vector<Streak> streaks;
  const int many = random.integer(3, 8);
  const double lean = random.normal(0.0, 0.015);
  double s = random.uniform(0.08, 0.35) * frame.length_mm;
  for (int i = 0; i < many; ++i) {
    Streak streak;
    streak.half_mm = 0.5 * random.log_uniform(1.0, 6.0);
    streak.s = s;
    streak.length_mm = std::min(frame.depth_mm + 5.0, random.log_uniform(25.0, 160.0));
    streak.lean = lean;
    if (i % 2 == 1 && random.chance(0.4)) streak.sign = -0.6;
    streaks.push_back(streak);
    s += streak.half_mm + random.log_uniform(2.5, 14.0);
    if (s > 0.95 * frame.length_mm) break;
  }
  const Wobble wave(random, frame.depth_mm, 35.0, 2);
  const cv::Mat along = 1.0 + 0.35 * wander(random, canvas, 12.0, 2);
  Stroke stroke;
  stroke.silver_added = field(canvas, [&](Point p) {
    const double t = frame.t(p);
    const double at = frame.s(p) + 0.25 * wave(t);
    double sum = 0.0;
    for (const Streak& streak : streaks) sum += streak.sign * in_streak(streak, at, t);
    return std::clamp(sum, -1.0, 1.0);
  });
  stroke.silver_added = 0.5 * stroke.silver_added.mul(along).mul(canvas.silver + 0.08).mul(canvas.film);
  Shape shape{{}, 0.0, 2.0 * streaks.front().half_mm, line_angle_deg(frame.inward)};
  for (const Streak& streak : streaks) {
    const double top = std::min(0.9 * streak.length_mm, frame.depth_mm - 1.0);
    const Polygon path{frame.at(streak.s + lean, 1.0), frame.at(streak.s + lean * top, top)};
    shape.parts_mm.push_back(strip(path, [&](double) { return 2.0 * streak.half_mm; }));
    shape.length_mm = std::max(shape.length_mm, top);
  }
  stroke.shapes.push_back(std::move(shape));
  return stroke;
}

Stroke bath_halt_line(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, canvas.dip_edge);
  const bool tray = random.chance(0.35);
  const double half = 0.5 * random.log_uniform(0.5, 2.5);
  const double at = random.uniform(0.15, 0.85) * frame.depth_mm;
  const double bow = tray ? random.uniform(-6.0, 6.0) : random.normal(0.0, 0.3);
  const Wobble waves(random, frame.length_mm, tray ? 12.0 : 25.0, 3);
  const double wavy = tray ? 1.2 : 0.15;
  const double tilt = random.normal(0.0, 0.012);
  const auto line = [&](double s) {
    const double u = 2.0 * s / frame.length_mm - 1.0;
    return at + bow * (1.0 - u * u) + wavy * waves(s) + tilt * s;
  };
  const bool rim = random.chance(0.5);
  const bool lace = random.chance(0.4);
  const cv::Mat uneven = 1.0 + 0.3 * wander(random, canvas, 6.0, 3);
  cv::Mat change = field(canvas, [&](Point p) {
    const double d = frame.t(p) - line(frame.s(p));
    return -ramp(1.4 * half, 0.5 * half, std::abs(d)) + (rim ? 0.5 * bell(d - 1.9 * half, 0.5 * half) : 0.0);
  });
  if (lace)  // rings that air bells left along the line
    for (int i = random.integer(6, 30); i > 0; --i) {
      const double s = random.uniform(0.0, frame.length_mm);
      const Point mm = frame.at(s, line(s) + half + random.uniform(0.0, 2.5));
      const cv::Point px(static_cast<int>((mm.x + canvas.border_mm) * canvas.px_per_mm),
                         static_cast<int>((mm.y + canvas.border_mm) * canvas.px_per_mm));
      cv::circle(change, px, static_cast<int>(random.log_uniform(0.3, 1.4) * canvas.px_per_mm),
                 cv::Scalar(-0.7), 2, cv::LINE_AA);
    }
  Stroke stroke;
  stroke.silver_added = 0.7 * change.mul(uneven).mul(canvas.silver).mul(canvas.film);
  Polygon path;
  for (double s = 0.0; s <= frame.length_mm; s += 1.0) path.push_back(frame.at(s, line(s)));
  stroke.shapes.push_back({{strip(path, [&](double) { return std::max(2.0 * half, 0.8); })},
                           frame.length_mm,
                           2.0 * half,
                           line_angle_deg(frame.along)});
  return stroke;
}

Stroke stall_line(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, canvas.pour_edge);
  // The front is an arc that left the pouring edge at some point of it and bulges away from it.
  const double reach = random.uniform(0.35, 0.85) * frame.depth_mm;
  const double middle = random.uniform(0.2, 0.8) * frame.length_mm;
  const double bulge = random.log_uniform(0.15, 1.2) * 0.01;  // per mm
  const Wobble fingers(random, frame.length_mm, 14.0, 4);
  const double fingering = random.uniform(0.4, 2.2);
  const auto front = [&](double s) {
    return reach - bulge * (s - middle) * (s - middle) + fingering * fingers(s);
  };
  const double sharp = random.log_uniform(0.15, 0.8);
  const bool step = random.chance(0.75);
  const double rim = step ? random.uniform(0.0, 0.5) : 1.0;
  const double rim_mm = random.log_uniform(0.25, 1.0);
  const double levels_mm = random.log_uniform(25.0, 200.0);  // the late side catches up again
  Stroke stroke;
  stroke.silver_added = field(canvas, [&](Point p) {
    const double late = frame.t(p) - front(frame.s(p));
    return (step ? -ramp(-sharp, sharp, late) * std::exp(-std::max(late, 0.0) / levels_mm) : 0.0) +
           rim * bell(late, rim_mm);
  });
  stroke.silver_added = 0.5 * stroke.silver_added.mul(canvas.silver + 0.02).mul(canvas.film);
  Polygon path;
  for (double s = 1.0; s <= frame.length_mm - 1.0; s += 0.5)
    if (front(s) > 1.5 && front(s) < frame.depth_mm - 1.0) path.push_back(frame.at(s, front(s)));
  if (path.size() < 10) return {};
  const double width = std::max(1.0, 2.0 * rim_mm);
  stroke.shapes.push_back({{strip(path, [&](double) { return width; })},
                           distance(path.front(), path.back()),
                           width,
                           line_angle_deg(frame.along)});
  return stroke;
}

Stroke curtain_marks(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, canvas.dip_edge);
  const double high = random.log_uniform(6.0, 22.0);
  const double width = random.log_uniform(6.0, 22.0);  // of one scallop
  const Wobble phase(random, frame.length_mm, 1.2 * width, 2);
  const Wobble uneven(random, frame.length_mm, width, 2);
  const int folds = random.integer(2, 4);
  const auto scallop = [&](double s) {
    const double u = s / width + 0.4 * phase(s);
    return high * (0.35 + 0.65 * std::abs(std::sin(std::numbers::pi * u))) * (1.0 + 0.3 * uneven(s));
  };
  Stroke stroke;
  stroke.silver_added = field(canvas, [&](Point p) {
    const double t = frame.t(p);
    const double share = t / std::max(scallop(frame.s(p)), 0.5);
    if (share > 1.15 || t < 0.0) return 0.0;
    // Draped: each fold is a darker line along the scallop, and the whole is thinner.
    const double drape = 0.5 + 0.5 * std::cos(kTurn * folds * share);
    return -(0.45 + 0.5 * drape) * ramp(1.08, 0.95, share);
  });
  stroke.silver_added = 0.9 * stroke.silver_added.mul(canvas.silver).mul(canvas.film);
  Polygon outline{frame.at(frame.length_mm, 0.0), frame.at(0.0, 0.0)};
  for (double s = 0.0; s <= frame.length_mm; s += 0.5) outline.push_back(frame.at(s, scallop(s)));
  stroke.shapes.push_back({{outline}, frame.length_mm, high, line_angle_deg(frame.along)});
  return stroke;
}

}  // namespace platewise::heldout::brush
