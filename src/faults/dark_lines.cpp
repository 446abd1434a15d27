#include "dark_lines.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <optional>

namespace platewise {
namespace {

constexpr int kDirections = 24;
constexpr int kReach = 8;         // pixels to either side that are summed along a direction
constexpr double kFlankPx = 2.6;  // where the flanks are looked at
constexpr int kMost = 100;        // what one pixel may count
constexpr int kSeed = 70 * (2 * kReach + 1) / 2;
constexpr int kFollow = 55 * (2 * kReach + 1) / 2;
constexpr double kStepPx = 4.0;
constexpr int kMostGaps = 4;  // steps
constexpr double kStrayPx = 2.2;
constexpr double kMostBow = 0.045;  // of the length

double angle_of(int direction) {
  return std::numbers::pi * direction / kDirections;
}

// The strongest line through each pixel.
struct Field {
  cv::Mat strength;   // CV_16SC1, at most kMost a pixel of the sum
  cv::Mat direction;  // CV_8UC1
};

// How dark each pixel is against both flanks across a direction, in local noise, limited.
cv::Mat darker_than_flanks(const cv::Mat& silver, const cv::Mat& scale, double angle) {
  const int dx = static_cast<int>(std::lround(-std::sin(angle) * kFlankPx));
  const int dy = static_cast<int>(std::lround(std::cos(angle) * kFlankPx));
  cv::Mat darker(silver.size(), CV_16SC1, cv::Scalar(0));
  const int margin_x = std::abs(dx);
  const int margin_y = std::abs(dy);
  for (int y = margin_y; y < silver.rows - margin_y; ++y) {
    const auto* here = silver.ptr<float>(y);
    const auto* one = silver.ptr<float>(y + dy) + dx;
    const auto* other = silver.ptr<float>(y - dy) - dx;
    const auto* by = scale.ptr<float>(y);
    auto* to = darker.ptr<std::int16_t>(y);
    for (int x = margin_x; x < silver.cols - margin_x; ++x) {
      const float difference = by[x] * (std::min(one[x], other[x]) - here[x]);
      to[x] = static_cast<std::int16_t>(std::clamp(difference, -100.0F, 100.0F));
    }
  }
  return darker;
}

// Sum along a direction, exact pixel rows: slanted lines step by rounding, not by resampling.
cv::Mat summed_along(const cv::Mat& darker, double angle) {
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  const double major = std::max(std::abs(c), std::abs(s));
  cv::Mat sum(darker.size(), CV_16SC1, cv::Scalar(0));
  constexpr int kStrip = 32;  // rows that stay in the processor's cache while all are summed
  for (int y = 0; y < sum.rows; y += kStrip) {
    const cv::Rect strip(0, y, sum.cols, std::min(kStrip, sum.rows - y));
    for (int k = -kReach; k <= kReach; ++k) {
      const int dx = static_cast<int>(std::lround(k * c / major));
      const int dy = static_cast<int>(std::lround(k * s / major));
      const cv::Rect to = cv::Rect(-dx, -dy, sum.cols, sum.rows) & strip;
      if (to.empty()) continue;
      cv::Mat part = sum(to);
      cv::add(part, darker(to + cv::Point(dx, dy)), part);
    }
  }
  return sum;
}

// kMost over twice the local noise: texture of the picture counts as noise.
cv::Mat local_scale(const cv::Mat& silver, double noise) {
  constexpr int kTilePx = 24;
  cv::Mat moved;
  cv::Mat shift = (cv::Mat_<float>(1, 7) << -1, 0, 0, 1, 0, 0, 0);
  cv::Mat across;
  cv::filter2D(silver, moved, CV_32F, shift);
  cv::filter2D(silver, across, CV_32F, shift.t());
  const cv::Mat one = cv::abs(moved);
  const cv::Mat other = cv::abs(across);
  cv::Mat least;
  cv::min(one, other, least);
  const cv::Size tiles(std::max(1, silver.cols / kTilePx), std::max(1, silver.rows / kTilePx));
  cv::Mat typical(tiles, CV_32FC1);
  std::vector<float> values;
  for (int ty = 0; ty < tiles.height; ++ty) {
    for (int tx = 0; tx < tiles.width; ++tx) {
      const cv::Rect box =
          cv::Rect(tx * kTilePx - kTilePx / 2, ty * kTilePx - kTilePx / 2, 2 * kTilePx, 2 * kTilePx) &
          cv::Rect({}, silver.size());
      values.clear();
      for (int y = box.y; y < box.y + box.height; y += 2)
        for (int x = box.x; x < box.x + box.width; x += 2) values.push_back(least.at<float>(y, x));
      const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
      std::nth_element(values.begin(), middle, values.end());
      // The median of the lesser of two differences of a Gaussian is 0.366 of their sigma, 0.518 of the
      // pixel's.
      typical.at<float>(ty, tx) = std::max(static_cast<float>(noise), *middle / 0.518F);
    }
  }
  cv::Mat map;
  cv::resize(typical, map, silver.size(), 0, 0, cv::INTER_LINEAR);
  cv::Mat scale;
  cv::divide(kMost / 2.0, map, scale);
  return scale;
}

Field field_of(const cv::Mat& silver, double noise) {
  const cv::Mat scale = local_scale(silver, noise);
  Field field{cv::Mat(silver.size(), CV_16SC1, cv::Scalar(0)),
              cv::Mat(silver.size(), CV_8UC1, cv::Scalar(0))};
  for (int d = 0; d < kDirections; ++d) {
    const double angle = angle_of(d);
    const cv::Mat sum = summed_along(darker_than_flanks(silver, scale, angle), angle);
    for (int y = 0; y < sum.rows; ++y) {
      const auto* from = sum.ptr<std::int16_t>(y);
      auto* best = field.strength.ptr<std::int16_t>(y);
      auto* which = field.direction.ptr<std::uint8_t>(y);
      for (int x = 0; x < sum.cols; ++x) {
        const bool better = from[x] > best[x];
        best[x] = better ? from[x] : best[x];
        which[x] = better ? static_cast<std::uint8_t>(d) : which[x];
      }
    }
  }
  return field;
}

// A curve v = a + b u + c u^2 over the chord's frame, refitted as points come.
struct Bend {
  cv::Point2d origin;
  cv::Point2d along;
  double a = 0.0, b = 0.0, c = 0.0;

  [[nodiscard]] cv::Point2d across() const { return {-along.y, along.x}; }
  [[nodiscard]] cv::Point2d at(double u) const {
    return origin + u * along + (a + b * u + c * u * u) * across();
  }
  [[nodiscard]] double u_of(cv::Point2d p) const { return (p - origin).dot(along); }
  [[nodiscard]] double off(cv::Point2d p) const {
    const double u = u_of(p);
    return (p - origin).dot(across()) - (a + b * u + c * u * u);
  }
};

Bend fitted(const std::vector<cv::Point2d>& points, cv::Point2d along) {
  Bend bend{.origin = points.front(), .along = along};
  if (points.size() >= 3) {
    const cv::Point2d chord = points.back() - points.front();
    bend.along = (chord.dot(along) >= 0 ? 1.0 : -1.0) * chord / std::max(1e-9, std::hypot(chord.x, chord.y));
  }
  if (points.size() < 3) return bend;
  // Least squares over the places along the chord in shares of its length, so that the powers stay
  // comparable.
  const double length = std::max(1.0, cv::norm(points.back() - points.front()));
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  for (const cv::Point2d& point : points) {
    const cv::Point2d from = point - bend.origin;
    const double u = from.dot(bend.along) / length;
    const Eigen::Vector3d powers(1.0, u, u * u);
    normal += powers * powers.transpose();
    right += from.dot(bend.across()) * powers;
  }
  constexpr std::size_t kEnoughForABow = 8;
  if (points.size() >= kEnoughForABow) {
    const Eigen::Vector3d answer = normal.ldlt().solve(right);
    bend.a = answer[0];
    bend.b = answer[1] / length;
    bend.c = answer[2] / (length * length);
  } else {
    const Eigen::Vector2d answer = normal.topLeftCorner<2, 2>().ldlt().solve(right.head<2>());
    bend.a = answer[0];
    bend.b = answer[1] / length;
  }
  return bend;
}

class Tracer {
 public:
  Tracer(const Field& field, const cv::Mat& inside) : field_(field), free_(inside.clone()) {}

  std::vector<DarkLine> all(double least_px) {
    std::vector<DarkLine> lines;
    for (const cv::Point seed : seeds()) {
      if (free_.at<std::uint8_t>(seed) == 0) continue;
      std::vector<cv::Point2d> points = traced(seed);
      const Bend bend = fitted(points, points.back() - points.front());
      use_up(points);
      const double length = cv::norm(points.back() - points.front());
      if (length < least_px) continue;
      DarkLine line;
      const double from = bend.u_of(points.front());
      const double to = bend.u_of(points.back());
      for (double u = from; u <= to; u += 1.0) line.spine.push_back(bend.at(u));
      if (line.spine.size() < 3) continue;
      line.length_px = to - from;
      line.bow_px = std::abs(bend.c) * 0.25 * line.length_px * line.length_px;
      if (line.bow_px > kMostBow * line.length_px) continue;
      lines.push_back(std::move(line));
    }
    return lines;
  }

 private:
  [[nodiscard]] cv::Point2d direction(cv::Point at) const {
    const double angle = angle_of(field_.direction.at<std::uint8_t>(at));
    return {std::cos(angle), std::sin(angle)};
  }

  [[nodiscard]] bool crest(cv::Point at) const {
    const cv::Point2d u = direction(at);
    const auto s = field_.strength.at<std::int16_t>(at);
    for (const double step : {-2.0, -1.0, 1.0, 2.0}) {
      const cv::Point beside(static_cast<int>(std::lround(at.x - step * u.y)),
                             static_cast<int>(std::lround(at.y + step * u.x)));
      if (beside == at || !cv::Rect({}, free_.size()).contains(beside)) continue;
      if (field_.strength.at<std::int16_t>(beside) > s) return false;
    }
    return true;
  }

  [[nodiscard]] std::vector<cv::Point> seeds() const {
    std::vector<std::vector<cv::Point>> by_strength(static_cast<std::size_t>(kMost * (2 * kReach + 1) + 1));
    for (int y = 0; y < free_.rows; ++y) {
      const auto* strength = field_.strength.ptr<std::int16_t>(y);
      const auto* ok = free_.ptr<std::uint8_t>(y);
      for (int x = 0; x < free_.cols; ++x)
        if (ok[x] != 0 && strength[x] >= kSeed && crest({x, y}))
          by_strength[static_cast<std::size_t>(strength[x])].emplace_back(x, y);
    }
    std::vector<cv::Point> order;
    for (auto bucket = by_strength.rbegin(); bucket != by_strength.rend(); ++bucket)
      order.insert(order.end(), bucket->begin(), bucket->end());
    return order;
  }

  [[nodiscard]] std::optional<cv::Point2d> next(const Bend& bend, double u, double stray) const {
    std::optional<cv::Point2d> best;
    double best_worth = 0.0;
    const cv::Point2d ahead = bend.at(u + 1.0) - bend.at(u);
    const double ahead_length = std::hypot(ahead.x, ahead.y);
    for (double off = -stray; off <= stray; off += 0.5) {
      const cv::Point2d p = bend.at(u) + off * bend.across();
      const cv::Point at(static_cast<int>(std::lround(p.x)), static_cast<int>(std::lround(p.y)));
      if (!cv::Rect({}, free_.size()).contains(at) || free_.at<std::uint8_t>(at) == 0) continue;
      const auto strength = field_.strength.at<std::int16_t>(at);
      if (strength < kFollow) continue;
      if (std::abs(direction(at).dot(ahead)) / ahead_length < 0.955) continue;
      const double worth = strength - 60.0 * std::abs(off);
      if (worth > best_worth) {
        best_worth = worth;
        best = p;
      }
    }
    return best;
  }

  void extend(std::vector<cv::Point2d>& points, cv::Point2d along) const {
    int gaps = 0;
    Bend bend = fitted(points, along);
    double u = bend.u_of(points.back());
    while (gaps <= kMostGaps) {
      u += kStepPx;
      const auto p = next(bend, u, kStrayPx);
      if (!p) {
        ++gaps;
        continue;
      }
      gaps = 0;
      points.push_back(*p);
      bend = fitted(points, along);
      along = bend.along;
      u = bend.u_of(points.back());
    }
  }

  [[nodiscard]] std::vector<cv::Point2d> traced(cv::Point seed) const {
    const cv::Point2d along = direction(seed);
    std::vector<cv::Point2d> points{cv::Point2d(seed)};
    extend(points, along);
    std::reverse(points.begin(), points.end());
    extend(points, points.size() > 1 ? points.back() - points.front() : -along);
    return points;
  }

  void use_up(const std::vector<cv::Point2d>& points) {
    for (std::size_t i = 0; i + 1 < points.size(); ++i)
      cv::line(free_, cv::Point(points[i]), cv::Point(points[i + 1]), cv::Scalar(0), 5);
    cv::circle(free_, cv::Point(points.front()), 3, cv::Scalar(0), cv::FILLED);
    cv::circle(free_, cv::Point(points.back()), 3, cv::Scalar(0), cv::FILLED);
  }

  const Field& field_;
  cv::Mat free_;
};

}  // namespace

std::vector<DarkLine> dark_lines(const cv::Mat& silver, const cv::Mat& inside, double noise,
                                 double least_px) {
  cv::Mat smooth;
  cv::GaussianBlur(silver, smooth, {3, 3}, 0.6);
  const Field field = field_of(smooth, noise);
  return Tracer(field, inside).all(least_px);
}

}  // namespace platewise
