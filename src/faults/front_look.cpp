#include "front_look.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace platewise {
namespace {

constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();

// Moving mean over known values.
std::vector<double> smoothed(const std::vector<double>& values, int width) {
  const int n = static_cast<int>(values.size());
  std::vector<double> sum(values.size() + 1, 0.0);
  std::vector<double> count(values.size() + 1, 0.0);
  for (std::size_t i = 0; i < values.size(); ++i) {
    const bool known = values[i] == values[i];
    sum[i + 1] = sum[i] + (known ? values[i] : 0.0);
    count[i + 1] = count[i] + (known ? 1.0 : 0.0);
  }
  std::vector<double> result(values.size(), kNothing);
  for (int i = 0; i < n; ++i) {
    const auto from = static_cast<std::size_t>(std::max(0, i - width / 2));
    const auto to = static_cast<std::size_t>(std::min(n, i - width / 2 + width));
    if (const double c = count[to] - count[from]; c > 0.5)
      result[static_cast<std::size_t>(i)] = (sum[to] - sum[from]) / c;
  }
  return result;
}

}  // namespace

std::vector<double> along_columns(const FrontPath& path, int width_px, int columns) {
  std::vector<double> row(static_cast<std::size_t>(columns));
  const auto last = static_cast<double>(path.row.size()) - 1.0;
  for (int x = 0; x < columns; ++x) {
    const double b = std::clamp((x + 0.5) / width_px - 0.5, 0.0, last);
    const auto one = static_cast<std::size_t>(b);
    const auto other = std::min(one + 1, path.row.size() - 1);
    const double share = b - static_cast<double>(one);
    row[static_cast<std::size_t>(x)] = (1.0 - share) * path.row[one] + share * path.row[other];
  }
  return row;
}

std::vector<double> profile_beside(const FlowPicture& picture, const std::vector<double>& row, double from_px,
                                   double to_px, int smooth_px) {
  std::vector<double> profile(row.size(), kNothing);
  for (std::size_t x = 0; x < row.size(); ++x) {
    const int from = static_cast<int>(std::lround(row[x] + from_px));
    const int to = static_cast<int>(std::lround(row[x] + to_px));
    double sum = 0.0;
    int count = 0;
    for (int y = std::max(0, from); y <= std::min(picture.silver.rows - 1, to); ++y) {
      if (picture.known.at<std::uint8_t>(y, static_cast<int>(x)) == 0) continue;
      sum += static_cast<double>(picture.silver.at<float>(y, static_cast<int>(x)));
      ++count;
    }
    if (2 * count > to - from) profile[x] = sum / count;
  }
  return smoothed(profile, smooth_px);
}

double likeness(const std::vector<double>& a, const std::vector<double>& b, int slow_px) {
  const std::vector<double> slow_a = smoothed(a, slow_px);
  const std::vector<double> slow_b = smoothed(b, slow_px);
  double aa = 0.0;
  double bb = 0.0;
  double ab = 0.0;
  double n = 0.0;
  for (std::size_t x = 0; x < a.size(); ++x) {
    const double one = a[x] - slow_a[x];
    const double other = b[x] - slow_b[x];
    if (one != one || other != other) continue;
    aa += one * one;
    bb += other * other;
    ab += one * other;
    n += 1.0;
  }
  constexpr double kFewest = 10.0;
  if (n < kFewest || aa <= 0.0 || bb <= 0.0) return 0.0;
  return ab / std::sqrt(aa * bb);
}

Candidate band_along(const FlowPicture& picture, const std::vector<double>& row, double half_width_units) {
  const double k = picture.px_per_unit;
  int first = -1;
  int last = -1;
  for (std::size_t x = 0; x < row.size(); ++x) {
    const int y = std::clamp(static_cast<int>(std::lround(row[x])), 0, picture.silver.rows - 1);
    if (picture.known.at<std::uint8_t>(y, static_cast<int>(x)) == 0) continue;
    if (first < 0) first = static_cast<int>(x);
    last = static_cast<int>(x);
  }
  Candidate candidate;
  if (first < 0) return candidate;
  constexpr int kPoints = 24;
  Polygon spine;
  for (int i = 0; i <= kPoints; ++i) {
    const int x = first + (last - first) * i / kPoints;
    spine.push_back({static_cast<double>(x), row[static_cast<std::size_t>(x)]});
  }
  const double half = half_width_units * k;
  for (const Point& p : spine) candidate.outline_units.push_back(picture.on_plate(p.x, p.y - half));
  for (auto p = spine.rbegin(); p != spine.rend(); ++p)
    candidate.outline_units.push_back(picture.on_plate(p->x, p->y + half));
  const Point from = picture.on_plate(spine.front().x, spine.front().y);
  const Point to = picture.on_plate(spine.back().x, spine.back().y);
  candidate.length = distance(from, to);
  candidate.width = 2.0 * half_width_units;
  candidate.angle_deg = std::fmod(screen_angle_deg(from, to), 180.0);
  candidate.area = area(candidate.outline_units);
  return candidate;
}

}  // namespace platewise
