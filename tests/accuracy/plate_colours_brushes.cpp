#include "accuracy/plate_colours_brushes.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "accuracy/lab.h"
#include "accuracy/plate_faults_shapes.h"

namespace platewise::heldout {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

}  // namespace

// Changes every pixel where `share` is not 0; `change` gets its light and share.
void recolour(cv::Mat& light, const cv::Mat& share,
              const std::function<cv::Vec3d(const cv::Vec3d&, double)>& change) {
  for (int y = 0; y < light.rows; ++y)
    for (int x = 0; x < light.cols; ++x) {
      const double here = share.at<float>(y, x);
      if (std::abs(here) < 1e-3) continue;
      auto& pixel = light.at<cv::Vec3f>(y, x);
      pixel = cv::Vec3f(change(cv::Vec3d(pixel), here));
    }
}

void shift_lab(cv::Mat& light, const cv::Mat& share, const cv::Vec3d& step) {
  recolour(light, share,
           [&](const cv::Vec3d& rgb, double here) { return rgb_of_lab(lab_of(rgb) + here * step); });
}

cv::Mat luminance_of(const cv::Mat& light) {
  cv::Mat y;
  cv::transform(light, y, cv::Matx13f(0.2126F, 0.7152F, 0.0722F));
  return y;
}

// Value below which `share` of the covered picture's pixels lie.
float quantile_of_picture(const Canvas& canvas, const cv::Mat& values, double share) {
  std::vector<float> all;
  for (int y = 0; y < values.rows; y += 3)
    for (int x = 0; x < values.cols; x += 3)
      if (canvas.film.at<float>(y, x) > 0.9F && canvas.picture.at<float>(y, x) > 0.9F)
        all.push_back(values.at<float>(y, x));
  if (all.empty()) return 0.0F;
  const auto at = all.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(all.size() - 1));
  std::nth_element(all.begin(), at, all.end());
  return *at;
}

// A run of rinsing water: a tongue from an edge, its brim stronger.
cv::Mat wash_run(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const double reach = random.uniform(0.25, 0.8) * frame.depth_mm;
  const double half = random.uniform(2.5, 9.0);
  const double at = random.uniform(0.1, 0.9) * frame.length_mm;
  const double lean = random.uniform(-0.4, 0.4);
  const Wobble sway(random, frame.depth_mm, 9.0);
  const double brim = random.uniform(0.0, 0.5);
  return field(canvas, [&](Point p) {
    const double t = frame.t(p);
    const double across = frame.s(p) - at - lean * t - 2.5 * sway(std::max(t, 0.0));
    const double wide = half * (1.0 + 0.25 * std::sin(0.3 * t + at));
    const double out = std::max(std::abs(across) / wide, t / reach);
    return ramp(1.08, 0.9, out) * (1.0 - brim + brim * ramp(0.5, 0.95, out));
  });
}

// Several clouds that run into each other.
cv::Mat stain_clouds(Random& random, const Canvas& canvas) {
  cv::Mat sum(canvas.size(), CV_32FC1, cv::Scalar(0.0));
  const int number = random.integer(1, 4);
  for (int i = 0; i < number; ++i) {
    const Point centre = place_mm(random, canvas, 4.0);
    const double a = random.log_uniform(2.5, 14.0);
    const double b = a * random.uniform(0.5, 1.0);
    const double turn = random.uniform(0.0, kTurn);
    sum += field(canvas, [&](Point p) {
      const Point d = p - centre;
      const double u = (d.x * std::cos(turn) + d.y * std::sin(turn)) / a;
      const double v = (d.y * std::cos(turn) - d.x * std::sin(turn)) / b;
      return std::exp(-std::pow(u * u + v * v, 1.5));
    });
  }
  const cv::Mat torn = 1.0 + 0.35 * wander(random, canvas, 4.0, 4);
  return cv::min(sum.mul(torn), 1.0);
}

// Rust creeps in from the cut: spots of all sizes along a part of one edge.
cv::Mat rust_spots(Random& random, const Canvas& canvas) {
  const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
  const double from = random.uniform(0.0, 0.6) * frame.length_mm;
  const double length = random.uniform(10.0, 30.0);
  cv::Mat sum(canvas.size(), CV_32FC1, cv::Scalar(0.0));
  const int number = random.integer(4, 14);
  for (int i = 0; i < number; ++i) {
    const double radius = random.log_uniform(0.5, 3.0);
    const Point centre = frame.at(from + random.uniform() * length, std::abs(random.normal(0.0, 2.5)));
    sum += field(canvas, [&](Point p) { return ramp(1.2 * radius, 0.7 * radius, distance(p, centre)); });
  }
  return cv::min(sum, 1.0);
}

// The fixer ran down in streaks and missed what lies between; or plates stuck together in the middle.
cv::Mat short_of_fixer(Random& random, const Canvas& canvas) {
  if (random.chance(0.5)) {
    const EdgeFrame frame = edge_frame(canvas, random.integer(0, 3));
    const Wobble depth(random, frame.length_mm, random.uniform(4.0, 12.0), 3);
    const double middle = random.uniform(0.2, 0.8) * frame.length_mm;
    const double half = random.uniform(8.0, 25.0);
    return field(canvas, [&](Point p) {
      const double s = frame.s(p);
      const double streak = ramp(-0.1, 0.35, depth(std::clamp(s, 0.0, frame.length_mm)));
      return streak * ramp(1.2 * half, 0.7 * half, std::abs(s - middle)) *
             ramp(0.95, 0.6, frame.t(p) / frame.depth_mm);
    });
  }
  const Point centre{canvas.width_mm * random.uniform(0.35, 0.65),
                     canvas.height_mm * random.uniform(0.35, 0.65)};
  const double a = random.uniform(0.12, 0.3) * canvas.width_mm;
  const double b = random.uniform(0.12, 0.3) * canvas.height_mm;
  const cv::Mat uneven = 1.0 + 0.25 * wander(random, canvas, 6.0, 3);
  return field(canvas,
               [&](Point p) {
                 const double out = std::pow(std::pow(std::abs(p.x - centre.x) / a, 3.0) +
                                                 std::pow(std::abs(p.y - centre.y) / b, 3.0),
                                             1.0 / 3.0);
                 return ramp(1.25, 0.85, out);
               })
      .mul(uneven);
}

}  // namespace platewise::heldout
