// How the collodion flowed and set: ridges, thick corners, crape, dried edges.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "accuracy/plate_faults_brushes.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout::brush {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

// The run-off as a frame: `along` points at the drain corner, seen from the plate's middle.
struct RunOff {
  Point middle;
  Point along;
  Point across;
  double half_mm = 0.0;  // middle to corner
  [[nodiscard]] double s(Point mm) const { return (mm - middle).x * along.x + (mm - middle).y * along.y; }
  [[nodiscard]] double t(Point mm) const { return (mm - middle).x * across.x + (mm - middle).y * across.y; }
  [[nodiscard]] Point at(double s_mm, double t_mm) const { return middle + s_mm * along + t_mm * across; }
};

RunOff run_off(const Canvas& canvas, double lean) {
  const Point middle{0.5 * canvas.width_mm, 0.5 * canvas.height_mm};
  const Point to = canvas.corner_mm(canvas.drain_corner) - middle;
  const double heading = std::atan2(to.y, to.x) + lean;
  const Point along{std::cos(heading), std::sin(heading)};
  return {middle, along, {-along.y, along.x}, std::hypot(to.x, to.y)};
}

double line_angle_deg(Point along) {
  return std::fmod(-std::atan2(along.y, along.x) * 180.0 / std::numbers::pi + 720.0, 180.0);
}

cv::Mat in_picture(const Canvas& canvas, const cv::Mat& change) {
  return change.mul(canvas.silver).mul(canvas.film);
}

}  // namespace

Stroke pour_ridges(Random& random, const Canvas& canvas) {
  const RunOff run = run_off(canvas, random.normal(0.0, 0.12));
  const double period = random.log_uniform(1.4, 7.0);  // a light and a dark band
  const double from = random.uniform(-1.1, 0.1) * run.half_mm;
  const double half_width = random.uniform(0.2, 0.7) * run.half_mm;
  const double aside = random.normal(0.0, 0.15) * run.half_mm;
  const cv::Mat bends = wander(random, canvas, 40.0, 2);
  // No two ridges alike in width or strength.
  const Wobble spacing(random, 400.0, 3.0 * period, 2);
  const Wobble strength(random, 400.0, 1.5 * period, 2);
  const auto envelope = [&](Point p) {
    const double s = run.s(p);
    return ramp(from, from + 0.9 * run.half_mm, s) *
           ramp(half_width, 0.6 * half_width, std::abs(run.t(p) - aside));
  };
  const cv::Mat sideways = field(canvas, [&](Point p) { return run.t(p); }) + 0.35 * period * bends;
  cv::Mat bands(canvas.size(), CV_32FC1);
  for (int y = 0; y < bands.rows; ++y)
    for (int x = 0; x < bands.cols; ++x) {
      const double t = sideways.at<float>(y, x) + 150.0;
      const double wave = std::sin(kTurn * (t / period + 0.35 * spacing(t)));
      bands.at<float>(y, x) = static_cast<float>((wave + 0.3 * wave * wave) * (1.0 + 0.6 * strength(t)));
    }
  const cv::Mat where = field(canvas, envelope);
  Stroke stroke;
  stroke.silver_added = in_picture(canvas, 0.45 * bands.mul(where));
  stroke.shapes.push_back({outlines_above(canvas, where.mul(canvas.picture), 0.35, 20.0), run.half_mm * 1.2,
                           2.0 * half_width, line_angle_deg(run.along)});
  return stroke;
}

Stroke uneven_film(Random& random, const Canvas& canvas) {
  const RunOff run = run_off(canvas, random.normal(0.0, 0.2));
  const double begin = random.uniform(-0.3, 0.4) * run.half_mm;
  const bool step = random.chance(0.4);  // collodion that ran back over itself
  const cv::Mat slow = wander(random, canvas, 25.0, 3);
  const double soft = step ? random.uniform(0.5, 2.0) : random.uniform(20.0, 45.0);
  cv::Mat thick = field(canvas, [&](Point p) { return run.s(p); }) + 6.0 * slow;
  for (int y = 0; y < thick.rows; ++y)
    for (int x = 0; x < thick.cols; ++x) {
      auto& value = thick.at<float>(y, x);
      value = static_cast<float>(ramp(begin, begin + soft, value));
    }
  Stroke stroke;
  stroke.silver_added = in_picture(canvas, 0.5 * thick);
  stroke.shapes.push_back({outlines_above(canvas, thick.mul(canvas.picture), 0.5, 50.0), run.half_mm,
                           run.half_mm, line_angle_deg(run.along)});
  return stroke;
}

Stroke crapy_lines(Random& random, const Canvas& canvas) {
  const double cell_mm = random.log_uniform(0.8, 3.0);
  const double cell = cell_mm * canvas.px_per_mm;
  cv::Mat away(canvas.size(), CV_8UC1, cv::Scalar(255));
  const double stretch = random.uniform(1.0, 1.8);
  for (double y = 0; y < away.rows; y += cell * stretch)
    for (double x = 0; x < away.cols; x += cell) {
      const double odd = std::fmod(y / (cell * stretch), 2.0) < 1.0 ? 0.0 : 0.5 * cell;
      const cv::Point at(static_cast<int>(x + odd + cell * random.uniform(-0.35, 0.35)),
                         static_cast<int>(y + cell * stretch * random.uniform(-0.35, 0.35)));
      if (at.inside(cv::Rect({}, away.size()))) away.at<std::uint8_t>(at) = 0;
    }
  cv::Mat distance_px;
  cv::distanceTransform(away, distance_px, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  cv::Mat near;
  cv::GaussianBlur(distance_px, near, {}, 0.45 * cell);
  const cv::Mat mesh = cv::min(cv::max((distance_px - near) / (0.25 * cell), -0.6), 1.2);
  const bool everywhere = random.chance(0.5);
  const RunOff run = run_off(canvas, 0.0);
  const cv::Mat where = everywhere ? cv::Mat(canvas.size(), CV_32FC1, cv::Scalar(1.0))
                                   : field(canvas, [&](Point p) { return ramp(-8.0, 12.0, run.s(p)); });
  Stroke stroke;
  stroke.silver_added = in_picture(canvas, 0.5 * mesh.mul(where));
  stroke.shapes.push_back(
      {outlines_above(canvas, where.mul(canvas.picture), 0.5, 50.0), 2.0 * run.half_mm, run.half_mm, 0.0});
  return stroke;
}

Stroke dry_edge(Random& random, const Canvas& canvas) {
  // The film is thinnest, and dries first, away from the drain corner.
  const int first = (canvas.drain_corner + 2) % 4;
  const EdgeFrame frame = edge_frame(canvas, random.chance(0.5) ? first : (first + 3) % 4);
  const double depth = random.log_uniform(3.0, 0.22 * frame.depth_mm);
  const double soft = random.uniform(0.25, 0.6) * depth;
  const Wobble slow(random, frame.length_mm, 30.0);
  const Wobble quick(random, frame.length_mm, 5.0);
  const bool fringe = random.chance(0.4);
  const auto inside = [&](Point p) {
    return frame.t(p) - depth * (1.0 + 0.25 * slow(frame.s(p)) + 0.06 * quick(frame.s(p)));
  };
  Stroke stroke;
  stroke.silver_added =
      in_picture(canvas, field(canvas, [&](Point p) {
                   const double in = inside(p);
                   return -0.97 * ramp(soft, -soft, in) + (fringe ? 0.12 * bell(in - soft, 0.4) : 0.0);
                 }));
  const cv::Mat dried =
      field(canvas, [&](Point p) { return inside(p) < 0.0 && frame.t(p) > 0.0 ? 1.0 : 0.0; });
  stroke.shapes.push_back({outlines_above(canvas, dried.mul(canvas.picture), 0.5, 8.0), frame.length_mm,
                           depth, line_angle_deg(frame.along)});
  return stroke;
}

}  // namespace platewise::heldout::brush
