#include "accuracy/plate_faults_shapes.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

constexpr int kFractionBits = 4;
constexpr double kFraction = 1 << kFractionBits;
constexpr double kWobbleStepMm = 0.25;

std::vector<cv::Point> in_pixels(const Canvas& canvas, const Polygon& outline_mm, cv::Point origin) {
  std::vector<cv::Point> points;
  for (const Point mm : outline_mm)
    points.emplace_back(static_cast<int>(std::lround(
                            ((mm.x + canvas.border_mm) * canvas.px_per_mm - 0.5 - origin.x) * kFraction)),
                        static_cast<int>(std::lround(
                            ((mm.y + canvas.border_mm) * canvas.px_per_mm - 0.5 - origin.y) * kFraction)));
  return points;
}

}  // namespace

cv::Mat field(const Canvas& canvas, const std::function<double(Point)>& value) {
  cv::Mat out(canvas.size(), CV_32FC1);
  for (int y = 0; y < out.rows; ++y) {
    auto* row = out.ptr<float>(y);
    for (int x = 0; x < out.cols; ++x)
      row[x] = static_cast<float>(value({(x + 0.5) / canvas.px_per_mm - canvas.border_mm,
                                         (y + 0.5) / canvas.px_per_mm - canvas.border_mm}));
  }
  return out;
}

cv::Mat wander(Random& random, const Canvas& canvas, double cell_mm, int octaves) {
  return cloud(random, canvas.size(), std::max(2.0, cell_mm * canvas.px_per_mm), octaves);
}

Wobble::Wobble(Random& random, double length_mm, double cell_mm, int octaves)
    : values_(cloud(random, {static_cast<int>(length_mm / kWobbleStepMm) + 60, 1}, cell_mm / kWobbleStepMm,
                    octaves)) {}

double Wobble::operator()(double mm) const {
  const double at = std::clamp(mm / kWobbleStepMm + 20.0, 0.0, values_.cols - 1.001);
  const int left = static_cast<int>(at);
  const double share = at - left;
  return (1.0 - share) * values_.at<float>(0, left) + share * values_.at<float>(0, left + 1);
}

double ramp(double low, double high, double value) {
  const double t = std::clamp((value - low) / (high - low), 0.0, 1.0);
  return t * t * (3.0 - 2.0 * t);
}

double bell(double x, double sigma) {
  return std::exp(-0.5 * (x / sigma) * (x / sigma));
}

double EdgeFrame::s(Point mm) const {
  const Point d = mm - start;
  return d.x * along.x + d.y * along.y;
}

double EdgeFrame::t(Point mm) const {
  const Point d = mm - start;
  return d.x * inward.x + d.y * inward.y;
}

Point EdgeFrame::at(double along_mm, double depth) const {
  return start + along_mm * along + depth * inward;
}

EdgeFrame edge_frame(const Canvas& canvas, int edge) {
  const double w = canvas.width_mm;
  const double h = canvas.height_mm;
  switch (edge) {
    case 0:
      return {{0, 0}, {1, 0}, {0, 1}, w, h};
    case 1:
      return {{w, 0}, {0, 1}, {-1, 0}, h, w};
    case 2:
      return {{w, h}, {-1, 0}, {0, -1}, w, h};
    default:
      return {{0, h}, {0, -1}, {1, 0}, h, w};
  }
}

cv::Rect box_px(const Canvas& canvas, const std::vector<Polygon>& parts_mm) {
  cv::Rect all;
  for (const Polygon& part : parts_mm) {
    const std::vector<cv::Point> points = in_pixels(canvas, part, {});
    const cv::Rect one = cv::boundingRect(points);
    const cv::Rect box((one.x >> kFractionBits) - 1, (one.y >> kFractionBits) - 1,
                       (one.width >> kFractionBits) + 3, (one.height >> kFractionBits) + 3);
    all = all.empty() ? box : all | box;
  }
  return all & cv::Rect({}, canvas.size());
}

cv::Mat filled_px(const Canvas& canvas, const std::vector<Polygon>& parts_mm, cv::Rect box) {
  cv::Mat mask = cv::Mat::zeros(box.size(), CV_8UC1);
  for (const Polygon& part : parts_mm)
    cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{in_pixels(canvas, part, box.tl())},
                 cv::Scalar(255), cv::LINE_8, kFractionBits);
  return mask;
}

cv::Mat cover(const Canvas& canvas, const Polygon& outline_mm, double soft_mm) {
  cv::Mat mask = cv::Mat::zeros(canvas.size(), CV_8UC1);
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{in_pixels(canvas, outline_mm, {})}, cv::Scalar(255),
               cv::LINE_AA, kFractionBits);
  cv::Mat share;
  mask.convertTo(share, CV_32F, 1.0 / 255.0);
  const double sigma = soft_mm * canvas.px_per_mm;
  if (sigma > 0.3) cv::GaussianBlur(share, share, {}, sigma);
  return share;
}

std::vector<Polygon> outlines_above(const Canvas& canvas, const cv::Mat& values, double level,
                                    double least_mm2) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(cv::Mat(values > level), contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
  std::vector<Polygon> out;
  for (const auto& contour : contours) {
    if (cv::contourArea(contour) < least_mm2 * canvas.px_per_mm * canvas.px_per_mm) continue;
    Polygon part;
    for (const cv::Point p : contour)
      part.push_back({(p.x + 0.5) / canvas.px_per_mm - canvas.border_mm,
                      (p.y + 0.5) / canvas.px_per_mm - canvas.border_mm});
    out.push_back(std::move(part));
  }
  return out;
}

Polygon strip(const Polygon& path_mm, const std::function<double(double)>& width_mm) {
  Polygon left;
  Polygon right;
  const std::size_t n = path_mm.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Point run = path_mm[std::min(i + 1, n - 1)] - path_mm[i > 0 ? i - 1 : 0];
    const double length = std::max(std::hypot(run.x, run.y), 1e-9);
    const Point across{-run.y / length, run.x / length};
    const double half = 0.5 * width_mm(static_cast<double>(i) / static_cast<double>(n - 1));
    left.push_back(path_mm[i] + half * across);
    right.push_back(path_mm[i] - half * across);
  }
  left.insert(left.end(), right.rbegin(), right.rend());
  return left;
}

Point place_mm(Random& random, const Canvas& canvas, double margin_mm) {
  const double mx = std::min(margin_mm, 0.45 * canvas.width_mm);
  const double my = std::min(margin_mm, 0.45 * canvas.height_mm);
  return {random.uniform(mx, canvas.width_mm - mx), random.uniform(my, canvas.height_mm - my)};
}

}  // namespace platewise::heldout
