#include "accuracy/plate_specks.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;

cv::Point place(Random& random, cv::Size size) {
  return {random.integer(0, size.width - 1), random.integer(0, size.height - 1)};
}

// A grain of dirt: a small star-shaped polygon, never a disc.
void grain_of_dirt(Random& random, cv::Mat& mask, double radius_px) {
  const cv::Point centre = place(random, mask.size());
  std::vector<cv::Point> outline;
  const int points = random.integer(5, 11);
  const double stretch = random.uniform(0.5, 1.0);
  const double turn = random.uniform(0.0, kTurn);
  for (int i = 0; i < points; ++i) {
    const double angle = kTurn * i / points;
    const double r = radius_px * random.uniform(0.6, 1.3) * 16.0;
    const double u = r * std::cos(angle);
    const double v = r * stretch * std::sin(angle);
    outline.emplace_back(centre.x * 16 + static_cast<int>(u * std::cos(turn) - v * std::sin(turn)),
                         centre.y * 16 + static_cast<int>(u * std::sin(turn) + v * std::cos(turn)));
  }
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255), cv::LINE_AA, 4);
}

void hair(Random& random, cv::Mat& mask, double px_per_mm) {
  cv::Point2d at = place(random, mask.size());
  double heading = random.uniform(0.0, kTurn);
  const int steps = random.integer(10, 60);
  for (int i = 0; i < steps; ++i) {
    heading += random.normal(0.0, 0.25);
    const cv::Point2d next = at + 0.25 * px_per_mm * cv::Point2d(std::cos(heading), std::sin(heading));
    cv::line(mask, at, next, cv::Scalar(255), 1, cv::LINE_AA);
    at = next;
  }
}

void scratch(Random& random, cv::Mat& mask, double px_per_mm) {
  const cv::Point from = place(random, mask.size());
  const double angle = random.uniform(0.0, kTurn);
  const double length = random.log_uniform(3.0, 50.0) * px_per_mm;
  cv::line(mask, from,
           from + cv::Point(static_cast<int>(length * std::cos(angle)),
                            static_cast<int>(length * std::sin(angle))),
           cv::Scalar(255), 1, cv::LINE_AA);
}

void blend(PlateDrawing& drawing, const cv::Mat& mask, double light, double opacity) {
  cv::Mat share;
  cv::GaussianBlur(mask, share, {}, 0.6);
  share.convertTo(share, CV_32F, opacity / 255.0);
  cv::Mat shares;
  cv::cvtColor(share, shares, cv::COLOR_GRAY2RGB);
  const cv::Mat other(drawing.light.size(), CV_32FC3, cv::Scalar::all(light));
  drawing.light = drawing.light.mul(cv::Scalar::all(1.0) - shares) + other.mul(shares);
}

}  // namespace

void add_specks(Random& random, PlateDrawing& drawing) {
  const double px_per_mm = drawing.plan.px_per_mm;
  const double support = std::pow(10.0, -drawing.support_density);
  const bool positive = is_positive(drawing.plan.process.kind);
  const auto empty = [&] { return cv::Mat(cv::Mat::zeros(drawing.light.size(), CV_8UC1)); };

  cv::Mat dust = empty();
  const int specks = static_cast<int>(random.log_uniform(20, 500));
  for (int i = 0; i < specks; ++i) grain_of_dirt(random, dust, px_per_mm * random.log_uniform(0.03, 0.25));
  for (int i = random.integer(0, 6); i > 0; --i) hair(random, dust, px_per_mm);
  blend(drawing, dust, positive ? random.uniform(0.3, 0.7) : random.uniform(0.05, 0.3),
        random.uniform(0.5, 1.0));

  cv::Mat holes = empty();
  for (int i = static_cast<int>(random.log_uniform(1, 120)); i > 0; --i)
    grain_of_dirt(random, holes, px_per_mm * random.log_uniform(0.03, 0.2));
  for (int i = random.integer(0, 5); i > 0; --i) scratch(random, holes, px_per_mm);
  if (random.chance(0.3))
    for (int i = random.integer(1, 4); i > 0; --i)
      grain_of_dirt(random, holes, px_per_mm * random.log_uniform(0.5, 3.0));
  blend(drawing, holes, support, 1.0);
}

}  // namespace platewise::heldout
