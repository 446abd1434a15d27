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

// What was drawn where, in raster pixels.
struct Drawn {
  std::vector<cv::Point2d> outline;
  double length_px = 0.0;
  double width_px = 1.0;
  double angle_deg = 0.0;
};

// A grain of dirt: a small star-shaped polygon, never a disc.
Drawn grain_of_dirt(Random& random, cv::Mat& mask, double radius_px) {
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
  Drawn drawn{{}, 2.0 * radius_px, 2.0 * radius_px * stretch};
  for (const cv::Point p : outline) drawn.outline.push_back(cv::Point2d(p) / 16.0);
  return drawn;
}

// The outline of a line a pixel or so wide.
std::vector<cv::Point2d> around(const std::vector<cv::Point2d>& path) {
  const cv::Point2d run = path.back() - path.front();
  const double length = std::max(std::hypot(run.x, run.y), 1.0);
  const cv::Point2d across(-run.y / length, run.x / length);
  std::vector<cv::Point2d> outline;
  for (const cv::Point2d& p : path) outline.push_back(p + across);
  for (auto p = path.rbegin(); p != path.rend(); ++p) outline.push_back(*p - across);
  return outline;
}

Drawn hair(Random& random, cv::Mat& mask, double px_per_mm) {
  cv::Point2d at = place(random, mask.size());
  double heading = random.uniform(0.0, kTurn);
  const int steps = random.integer(10, 60);
  std::vector<cv::Point2d> path{at};
  for (int i = 0; i < steps; ++i) {
    heading += random.normal(0.0, 0.25);
    const cv::Point2d next = at + 0.25 * px_per_mm * cv::Point2d(std::cos(heading), std::sin(heading));
    cv::line(mask, at, next, cv::Scalar(255), 1, cv::LINE_AA);
    at = next;
    path.push_back(at);
  }
  return {around(path), 0.25 * px_per_mm * steps};
}

Drawn scratch(Random& random, cv::Mat& mask, double px_per_mm) {
  const cv::Point from = place(random, mask.size());
  const double angle = random.uniform(0.0, kTurn);
  const double length = random.log_uniform(3.0, 50.0) * px_per_mm;
  const cv::Point to = from + cv::Point(static_cast<int>(length * std::cos(angle)),
                                        static_cast<int>(length * std::sin(angle)));
  cv::line(mask, from, to, cv::Scalar(255), 1, cv::LINE_AA);
  return {around({cv::Point2d(from), cv::Point2d(to)}), length, 1.0,
          std::fmod(720.0 - angle * 360.0 / kTurn, 180.0)};
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

TrueMark mark(const PlateDrawing& drawing, std::string id, const Drawn& drawn) {
  const double scale = drawing.plan.px_per_mm;
  Polygon outline;
  for (const cv::Point2d& p : drawn.outline)
    outline.push_back({(p.x + 0.5) / scale - drawing.border_mm, (p.y + 0.5) / scale - drawing.border_mm});
  return {
      std::move(id), {std::move(outline)}, drawn.length_px / scale, drawn.width_px / scale, drawn.angle_deg};
}

// A bare spot's name goes by its size: pinholes to 0.3 mm, holes of 2 mm and more are torn (fault table).
std::string bare_spot(double size_mm) {
  return size_mm <= 0.3 ? "pinhole" : size_mm < 2.0 ? "dust_speck" : "tear_hole";
}

cv::Mat luminance_density(const cv::Mat& light) {
  cv::Mat out;
  cv::transform(light, out, cv::Matx13f(0.2126F, 0.7152F, 0.0722F));
  cv::log(cv::max(out, 1e-6), out);
  return out / -std::log(10.0);
}

void measure(std::vector<TrueMark>& marks, const cv::Mat& before, PlateDrawing& drawing) {
  Canvas canvas;
  canvas.silver = drawing.density;
  canvas.plate = drawing.alpha;
  canvas.px_per_mm = drawing.plan.px_per_mm;
  canvas.border_mm = drawing.border_mm;
  canvas.bare_light_density = drawing.support_density;
  measure_marks(marks, canvas, luminance_density(before), luminance_density(drawing.light), drawing.noise);
}

}  // namespace

void add_specks(Random& random, PlateDrawing& drawing) {
  const double px_per_mm = drawing.plan.px_per_mm;
  const double support = std::pow(10.0, -drawing.support_density);
  const bool positive = is_positive(drawing.plan.process.kind);
  const auto empty = [&] { return cv::Mat(cv::Mat::zeros(drawing.light.size(), CV_8UC1)); };

  const cv::Mat before = drawing.light.clone();
  std::vector<TrueMark> marks;

  cv::Mat dust = empty();
  const int specks = static_cast<int>(random.log_uniform(20, 500));
  for (int i = 0; i < specks; ++i)
    marks.push_back(
        mark(drawing, "dust_speck", grain_of_dirt(random, dust, px_per_mm * random.log_uniform(0.03, 0.25))));
  for (int i = random.integer(0, 6); i > 0; --i)
    marks.push_back(mark(drawing, "dust_speck", hair(random, dust, px_per_mm)));
  blend(drawing, dust, positive ? random.uniform(0.3, 0.7) : random.uniform(0.05, 0.3),
        random.uniform(0.5, 1.0));

  cv::Mat holes = empty();
  const auto hole = [&](double radius_mm) {
    marks.push_back(
        mark(drawing, bare_spot(2.0 * radius_mm), grain_of_dirt(random, holes, px_per_mm * radius_mm)));
  };
  for (int i = static_cast<int>(random.log_uniform(1, 120)); i > 0; --i) hole(random.log_uniform(0.03, 0.2));
  for (int i = random.integer(0, 5); i > 0; --i)
    marks.push_back(mark(drawing, "scratch", scratch(random, holes, px_per_mm)));
  if (random.chance(0.3))
    for (int i = random.integer(1, 4); i > 0; --i) hole(random.log_uniform(0.5, 3.0));
  blend(drawing, holes, support, 1.0);
  if (!drawing.plan.mark_specks) return;
  measure(marks, before, drawing);
  drawing.marks.insert(drawing.marks.end(), marks.begin(), marks.end());
}

}  // namespace platewise::heldout
