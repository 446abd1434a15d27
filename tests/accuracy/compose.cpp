#include "accuracy/compose.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

// Pixels of the picture for one millimetre at the plate's centre.
double scale_at_centre(const PlateDrawing& plate, const Camera& camera) {
  const Point centre{plate.plan.width_mm / 2, plate.plan.height_mm / 2};
  return distance(camera.px(centre), camera.px(centre + Point{1.0, 0.0}));
}

cv::Mat softened(const cv::Mat& raster, double shrink) {
  if (shrink <= 1.05) return raster;
  cv::Mat out;
  cv::GaussianBlur(raster, out, {}, 0.45 * std::sqrt(shrink * shrink - 1.0));
  return out;
}

cv::Mat three(const cv::Mat& one) {
  cv::Mat out;
  cv::cvtColor(one, out, cv::COLOR_GRAY2RGB);
  return out;
}

cv::Mat shifted(const cv::Mat& image, Point by) {
  const cv::Matx23d move(1, 0, by.x, 0, 1, by.y);
  cv::Mat out;
  cv::warpAffine(image, out, move, image.size());
  return out;
}

}  // namespace

Composition laid(const PlateDrawing& plate, const Camera& camera, const cv::Mat& surround,
                 const Laying& how) {
  const double raster = plate.plan.px_per_mm;
  const double scale = scale_at_centre(plate, camera);
  const Point origin{-plate.border_mm, -plate.border_mm};
  const cv::Mat mm = seen_mm(camera, surround.size());
  const auto look = [&](const cv::Mat& image, int border) {
    return seen(softened(image, raster / scale), origin, raster, mm, border);
  };

  const cv::Mat alpha = look(plate.alpha, cv::BORDER_CONSTANT);
  cv::Mat shadow = shifted(alpha, scale * how.shadow_mm * how.shadow_toward);
  cv::GaussianBlur(shadow, shadow, {}, std::max(0.3, 0.7 * scale * how.shadow_mm));
  cv::Mat inner;
  cv::GaussianBlur(alpha, inner, {}, std::max(0.3, scale * how.bevel_mm));
  const cv::Mat bevel = how.bevel * alpha.mul(cv::max(alpha - inner, 0.0));

  const cv::Mat around = surround.mul(three(1.0 - how.shadow * shadow));
  Composition out;
  out.light = look(plate.light, cv::BORDER_REPLICATE).mul(three(alpha)) + around.mul(three(1.0 - alpha)) +
              three(bevel);
  out.light = cv::max(out.light, 1e-5);
  const auto mask = [&](const cv::Mat& image) {
    return cv::Mat(seen(image, origin, raster, mm, cv::BORDER_CONSTANT) > 127);
  };
  out.plate = alpha > 0.5;
  out.film = mask(plate.film);
  out.picture = mask(plate.picture);
  out.rim = mask(plate.rim);
  return out;
}

cv::Mat reflections(Random& random, const PlateDrawing& plate, const Camera& camera, cv::Size picture) {
  cv::Mat sum = cv::Mat::zeros(picture, CV_32FC1);
  const int how_many = random.integer(1, 3);
  for (int i = 0; i < how_many; ++i) {
    const Point centre{plate.plan.width_mm * random.uniform(0.05, 0.95),
                       plate.plan.height_mm * random.uniform(0.05, 0.95)};
    const double width = random.log_uniform(2.0, 18.0);
    const double height = width * random.log_uniform(0.5, 2.5);
    const double lean = random.normal(0.0, 0.3);
    std::vector<cv::Point> pane;
    for (const auto& [u, v] : {std::pair{-1, -1}, {1, -1}, {1, 1}, {-1, 1}}) {
      const Point p = camera.px(centre + Point{u * width / 2 + lean * v * height / 2, v * height / 2});
      pane.emplace_back(static_cast<int>(p.x), static_cast<int>(p.y));
    }
    cv::Mat light = cv::Mat::zeros(picture, CV_32FC1);
    cv::fillConvexPoly(light, pane, cv::Scalar(random.log_uniform(0.1, 2.0)), cv::LINE_AA);
    cv::GaussianBlur(light, light, {}, scale_at_centre(plate, camera) * random.log_uniform(0.2, 4.0));
    sum += light;
  }
  return sum;
}

std::array<Side, 4> side_lines(const PlateDrawing& plate, const Camera& camera) {
  std::array<Side, 4> sides;
  for (std::size_t i = 0; i < 4; ++i) {
    std::vector<cv::Point2f> points;
    for (const Point mm : plate.sides_mm[i]) {
      const Point p = camera.px(mm);
      points.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
    }
    cv::Vec4f line;
    cv::fitLine(points, line, cv::DIST_HUBER, 0.0, 0.01, 0.0001);
    const cv::Point2f run = points.back() - points.front();
    const double sense = run.x * line[0] + run.y * line[1] > 0.0F ? 1.0 : -1.0;
    sides[i] = {{line[2], line[3]}, {sense * line[0], sense * line[1]}};
  }
  return sides;
}

Point intersection(const Side& a, const Side& b) {
  const double cross = a.along.x * b.along.y - a.along.y * b.along.x;
  const Point between = b.middle - a.middle;
  return a.middle + ((between.x * b.along.y - between.y * b.along.x) / cross) * a.along;
}

}  // namespace platewise::heldout
