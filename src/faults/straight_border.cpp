#include "straight_border.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {

double straight_share(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit) {
  constexpr double kInsideUnits = 0.9;  // as far as the plate's own edge is kept away from
  constexpr double kChordUnits = 3.0;
  constexpr double kMostSlant = 0.07;  // sine
  constexpr double kMostOffUnits = 0.2;
  const double edge = kInsideUnits * px_per_unit;
  const cv::Rect2d inner(edge, edge, size.width - 2.0 * edge, size.height - 2.0 * edge);
  const auto n = outline.size();
  const auto half = static_cast<std::size_t>(std::max(2.0, 0.5 * kChordUnits * px_per_unit));
  if (n < 4 * half) return 0.0;
  int samples = 0;
  int straight = 0;
  for (std::size_t i = 0; i < n; i += std::max<std::size_t>(1, half / 4)) {
    const cv::Point2d at = outline[i];
    const cv::Point2d before = outline[(i + n - half) % n];
    const cv::Point2d after = outline[(i + half) % n];
    if (!inner.contains(at)) continue;
    ++samples;
    const cv::Point2d chord = after - before;
    const double length = std::max(1.0, std::hypot(chord.x, chord.y));
    const double slant = std::min(std::abs(chord.x), std::abs(chord.y)) / length;
    straight +=
        slant < kMostSlant && std::abs(chord.cross(at - before)) / length < kMostOffUnits * px_per_unit;
  }
  return samples > 0 ? static_cast<double>(straight) / samples : 0.0;
}

bool ends_in_a_cut(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit) {
  constexpr double kNearUnits = 1.5;  // a side
  constexpr double kMostOffShare = 0.04;
  constexpr double kMostOfIt = 0.7;
  constexpr double kLeastSlant = 0.57;  // of the smaller to the larger side: 45 degrees within 15
  const double near = kNearUnits * px_per_unit;
  const cv::Rect box = cv::boundingRect(outline);
  if ((box.x > near && box.br().x < size.width - near) || (box.y > near && box.br().y < size.height - near))
    return false;
  const cv::Rect2d inner(near, near, size.width - 2.0 * near, size.height - 2.0 * near);
  std::vector<cv::Point2f> border;
  for (const cv::Point p : outline)
    if (inner.contains(p)) border.emplace_back(p);
  constexpr std::size_t kEnough = 12;
  if (border.size() < kEnough) return false;
  cv::Vec4f line;
  cv::fitLine(border, line, cv::DIST_L1, 0, 0.01, 0.01);
  const cv::Point2f along(line[0], line[1]);
  std::vector<double> across;
  double from = 0.0;
  double to = 0.0;
  for (const cv::Point2f& p : border) {
    const cv::Point2f off = p - cv::Point2f(line[2], line[3]);
    across.push_back(std::abs(static_cast<double>(along.cross(off))));
    from = std::min(from, static_cast<double>(along.dot(off)));
    to = std::max(to, static_cast<double>(along.dot(off)));
  }
  const auto slant = static_cast<double>(std::min(std::abs(along.x), std::abs(along.y)) /
                                         std::max(std::abs(along.x), std::abs(along.y)));
  const auto on_line = std::count_if(across.begin(), across.end(),
                                     [&](double off) { return off < kMostOffShare * (to - from); });
  return slant > kLeastSlant && static_cast<double>(on_line) > kMostOfIt * static_cast<double>(border.size());
}

}  // namespace platewise
