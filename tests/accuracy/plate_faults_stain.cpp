// Light that leaked in, and what the holder and the hand left.

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

// Fog adds little where the plate is full already.
cv::Mat fogged(const Canvas& canvas, const cv::Mat& share) {
  return share.mul(cv::max(canvas.full_silver - canvas.silver, 0.05)).mul(canvas.film);
}

}  // namespace

Stroke light_leak(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const double at = random.uniform(0.05, 0.95) * frame.length_mm;
  const double heading = random.uniform(-0.7, 0.7);  // off the inward direction
  const double mouth = random.log_uniform(0.7, 8.0);
  const double spread = random.log_uniform(0.03, 0.35);  // half opening, as a slope
  const double fade = random.log_uniform(15.0, 80.0);
  const double soft_side = random.uniform(0.6, 1.0);
  const Point along{std::sin(heading), std::cos(heading)};  // (along the edge, inward)
  const auto fog = [&](Point p) {
    const double s = frame.s(p) - at;
    const double t = frame.t(p);
    const double run = s * along.x + t * along.y;
    if (run < -12.0) return 0.0;
    const double across = s * along.y - t * along.x;
    const double half = 0.5 * mouth + spread * std::max(run, 0.0);
    // One side is cut off hard by the slit, the other falls off.
    const double hard = ramp(-half - 0.12 * half - 0.2, -half + 0.12 * half + 0.2, across);
    const double soft = ramp((1.0 + soft_side) * half, (1.0 - soft_side) * half, across);
    return hard * soft * std::exp(-std::max(run, 0.0) / fade) * ramp(-8.0, 0.0, run + 4.0);
  };
  const cv::Mat share = field(canvas, fog);
  Stroke stroke;
  stroke.silver_added = fogged(canvas, share);
  stroke.shapes.push_back({outlines_above(canvas, share.mul(canvas.film).mul(canvas.plate), 0.3, 6.0), fade,
                           mouth + spread * fade,
                           line_angle_deg(along.x * frame.along + along.y * frame.inward)});
  return stroke;
}

Stroke oyster_stain(Random& random, const Canvas& canvas) {
  const int edge = random.chance(0.6) ? canvas.dip_edge : random.integer(0, 3);
  const EdgeFrame frame = edge_frame(canvas, edge);
  const bool corner = random.chance(0.5);
  const double length = random.uniform(0.2, 0.7) * frame.length_mm;
  const double from = corner ? -0.15 * length : random.uniform(0.0, frame.length_mm - length);
  const double deep = random.log_uniform(6.0, 24.0);
  const Wobble lobes(random, frame.length_mm + length, random.uniform(4.0, 9.0), 3);
  // Shells: lobes whose growth lines run parallel to the outer fringe, curled by a slow warp.
  const cv::Mat curl_s = wander(random, canvas, random.uniform(4.0, 8.0), 4);
  const cv::Mat curl_t = wander(random, canvas, random.uniform(3.0, 6.0), 5);
  const cv::Mat moss = wander(random, canvas, 1.2, 3);
  const double growth_mm = random.uniform(0.8, 2.2);
  cv::Mat share(canvas.size(), CV_32FC1, cv::Scalar(0.0));
  cv::Mat inside = share.clone();
  for (int y = 0; y < share.rows; ++y)
    for (int x = 0; x < share.cols; ++x) {
      const Point p{(x + 0.5) / canvas.px_per_mm - canvas.border_mm,
                    (y + 0.5) / canvas.px_per_mm - canvas.border_mm};
      const double s = frame.s(p) + 0.35 * deep * curl_s.at<float>(y, x);
      const double u = (s - from) / length;
      if (u <= 0.0 || u >= 1.0) continue;
      const double edge_mm = deep * std::pow(std::sin(std::numbers::pi * u), 0.6) *
                             (0.6 + 0.4 * std::abs(lobes(std::max(s, 0.0))));
      const double in = edge_mm - (frame.t(p) + 0.45 * deep * curl_t.at<float>(y, x));
      if (in <= 0.0) continue;
      const double lines = std::pow(0.5 + 0.5 * std::cos(kTurn * in / growth_mm), 2.0);
      const double fringe = std::exp(-in / (0.5 * growth_mm));
      const double body = 0.25 + 0.3 * ramp(0.0, deep, in);
      inside.at<float>(y, x) = 1.0F;
      share.at<float>(y, x) = static_cast<float>(
          ramp(0.0, 0.25, in) *
          std::clamp(body + 0.35 * lines + 0.5 * fringe + 0.25 * moss.at<float>(y, x), 0.0, 1.0));
    }
  Stroke stroke;
  stroke.silver_added = fogged(canvas, share);
  std::vector<Polygon> parts = outlines_above(canvas, inside.mul(canvas.film).mul(canvas.plate), 0.5, 4.0);
  stroke.shapes.push_back({std::move(parts), length, deep, line_angle_deg(frame.along)});
  return stroke;
}

Stroke edge_stain(Random& random, const Canvas& canvas) {
  const int edge = random.chance(0.6) ? canvas.dip_edge : random.integer(0, 3);
  const EdgeFrame frame = edge_frame(canvas, edge);
  const double deep = random.log_uniform(2.0, 12.0);
  const double length = random.uniform(0.4, 1.0) * frame.length_mm;
  const double from = random.uniform(0.0, frame.length_mm - length);
  const Wobble slow(random, frame.length_mm, 12.0, 4);
  const double soft = random.uniform(0.15, 0.6) * deep;
  const cv::Mat dirty = 1.0 + 0.4 * wander(random, canvas, 3.0, 4);
  const auto inward = [&](Point p) {
    const double s = frame.s(p);
    const double ends = ramp(from - 1.0, from + 5.0, s) * ramp(from + length + 1.0, from + length - 5.0, s);
    return frame.t(p) - deep * ends * (1.0 + 0.35 * slow(s));
  };
  const cv::Mat band = field(canvas, [&](Point p) {
    const double in = inward(p);
    return ramp(soft, -soft, in) + (frame.t(p) > 0.0 ? 0.35 * bell(in + soft, 0.3 * soft + 0.1) : 0.0);
  });
  Stroke stroke;
  stroke.silver_added = 0.8 * fogged(canvas, band.mul(dirty));
  const cv::Mat where = field(canvas, [&](Point p) { return inward(p) < 0.0 ? 1.0 : 0.0; });
  stroke.shapes.push_back({outlines_above(canvas, where.mul(canvas.film).mul(canvas.plate), 0.5, 4.0), length,
                           deep, line_angle_deg(frame.along)});
  return stroke;
}

Stroke fingerprint(Random& random, const Canvas& canvas) {
  const double length = random.uniform(12.0, 24.0);
  const double width = length * random.uniform(0.6, 0.8);
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const Point centre =
      frame.at(random.uniform(0.1, 0.9) * frame.length_mm, random.uniform(0.1, 0.9) * length);
  const double lean = random.uniform(0.0, kTurn);
  const double period = random.uniform(0.42, 0.6);  // ridge to ridge on a finger
  const Point core{random.uniform(-0.1, 0.1) * length, random.uniform(-0.1, 0.2) * width};
  const double squeeze = random.uniform(0.55, 0.9);
  const cv::Mat warp = wander(random, canvas, 5.0, 3);
  const cv::Mat patch = wander(random, canvas, 3.0, 3);
  const double sign = random.chance(0.5) ? 1.0 : -1.0;
  cv::Mat ridges(canvas.size(), CV_32FC1, cv::Scalar(0.0));
  const double cos = std::cos(lean);
  const double sin = std::sin(lean);
  for (int y = 0; y < ridges.rows; ++y)
    for (int x = 0; x < ridges.cols; ++x) {
      const Point d = Point{(x + 0.5) / canvas.px_per_mm - canvas.border_mm,
                            (y + 0.5) / canvas.px_per_mm - canvas.border_mm} -
                      centre;
      const double u = d.x * cos + d.y * sin;
      const double v = -d.x * sin + d.y * cos;
      const double oval = std::hypot(u / (0.5 * length), v / (0.5 * width));
      if (oval > 1.05) continue;
      // Loops: arches above the core, nearly straight lines below it.
      const double below = std::max(0.0, v - core.y);
      const double r = std::hypot((u - core.x) * squeeze, (v - core.y) / (1.0 + 0.12 * below)) +
                       0.45 * warp.at<float>(y, x);
      const double wave = 0.5 + 0.5 * std::cos(kTurn * r / period);
      const double press = ramp(1.05, 0.7, oval) * std::clamp(0.8 + 0.7 * patch.at<float>(y, x), 0.0, 1.2);
      ridges.at<float>(y, x) = static_cast<float>(press * (0.2 + 0.8 * ramp(0.25, 0.7, wave)));
    }
  Polygon outline;
  for (int i = 0; i < 40; ++i) {
    const double u = 0.45 * length * std::cos(kTurn * i / 40);
    const double v = 0.45 * width * std::sin(kTurn * i / 40);
    outline.push_back(centre + Point{u * cos - v * sin, u * sin + v * cos});
  }
  Stroke stroke;
  stroke.silver_added =
      sign > 0.0 ? fogged(canvas, 0.5 * ridges) : cv::Mat(-0.6 * ridges.mul(canvas.silver).mul(canvas.film));
  stroke.shapes.push_back({{outline}, length, width, line_angle_deg({cos, sin})});
  return stroke;
}

Stroke veil(Random& random, const Canvas& canvas) {
  const cv::Mat even = 1.0 + 0.06 * wander(random, canvas, 30.0, 2);
  Stroke stroke;
  stroke.silver_added = 0.8 * fogged(canvas, even);
  stroke.shapes.push_back({outlines_above(canvas, canvas.film.mul(canvas.plate), 0.5, 100.0),
                           std::max(canvas.width_mm, canvas.height_mm),
                           std::min(canvas.width_mm, canvas.height_mm), 0.0});
  return stroke;
}

}  // namespace platewise::heldout::brush
