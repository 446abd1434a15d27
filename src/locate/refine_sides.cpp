#include "refine_sides.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "search_image.h"
#include "straight_lines.h"

namespace platewise {
namespace {

constexpr double kEnds = 0.06;  // of a side left out at each end: corners are rounded, clipped, broken
constexpr int kProfiles = 500;  // along a side
constexpr int kStep_px = 3;     // tones are compared over so many pixels on either side of the edge
constexpr double kSigmaPerMad = 1.4826;
// An outer line is taken if nearly as many profiles agree on it, nearly as closely.
constexpr double kAgreed = 0.8;
constexpr double kMoreScatter_px = 0.7;

double median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

struct EdgePoint {
  double along;   // along the coarse side, px
  double across;  // from it, outward negative or positive as the profile runs
  double step;    // tone difference, in sigmas of the profile noise
};

// Profiles across the segment from `a` to `b`: one row a profile, columns from -reach to +reach pixels.
cv::Mat profiles_across(const cv::Mat& image, Point a, Point b, int count, int reach) {
  const double length = distance(a, b);
  const Point direction = 1.0 / length * (b - a);
  const Point normal{-direction.y, direction.x};
  cv::Mat map_x(count, 2 * reach + 1, CV_32FC1);
  cv::Mat map_y(count, 2 * reach + 1, CV_32FC1);
  cv::Mat outside(count, 2 * reach + 1, CV_8UC1);
  for (int i = 0; i < count; ++i) {
    const Point base = a + (kEnds + (1 - 2 * kEnds) * (i + 0.5) / count) * length * direction;
    for (int j = -reach; j <= reach; ++j) {
      const Point p = base + static_cast<double>(j) * normal;
      const bool in = p.x >= 0 && p.y >= 0 && p.x <= image.cols && p.y <= image.rows;
      outside.at<std::uint8_t>(i, j + reach) = in ? 0 : 255;
      map_x.at<float>(i, j + reach) = static_cast<float>(p.x - 0.5);
      map_y.at<float>(i, j + reach) = static_cast<float>(p.y - 0.5);
    }
  }
  cv::Mat profiles;
  cv::remap(image, profiles, map_x, map_y, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  profiles = lightness_of(profiles);
  cv::blur(profiles, profiles, {1, 3}, {-1, -1}, cv::BORDER_REPLICATE);
  profiles.setTo(cv::Scalar::all(std::nan("")), outside);
  return profiles;
}

// Step across each place of each profile (inner mean minus outer mean), over the step noise of its channel;
// of the channel with the strongest step at that place.
cv::Mat steps_in_sigmas(const cv::Mat& profiles, int reach) {
  std::vector<cv::Mat> channels;
  cv::split(profiles, channels);
  cv::Mat strongest = cv::Mat::zeros(profiles.size(), CV_32FC1);
  for (const cv::Mat& tones : channels) {
    cv::Mat steps = cv::Mat::zeros(tones.size(), CV_32FC1);
    std::vector<double> magnitudes_before;
    std::vector<double> magnitudes_after;
    for (int i = 0; i < tones.rows; ++i) {
      const float* tone = tones.ptr<float>(i);
      for (int j = kStep_px; j + kStep_px <= 2 * reach; ++j) {
        float before = 0.0F;
        float after = 0.0F;
        for (int k = 1; k <= kStep_px; ++k) {
          before += tone[j - k];
          after += tone[j + k];
        }
        const float step = (after - before) / static_cast<float>(kStep_px);
        if (std::isnan(step)) continue;
        steps.at<float>(i, j) = step;
        if (j < reach / 2) magnitudes_before.push_back(std::abs(static_cast<double>(step)));
        if (j > 2 * reach - reach / 2) magnitudes_after.push_back(std::abs(static_cast<double>(step)));
      }
    }
    // The ground's noise: one of the two sides is picture.
    constexpr double kLeastSigma = 1e-4;  // of lightness
    const double noise = kSigmaPerMad * std::min(median(magnitudes_before), median(magnitudes_after));
    steps /= std::max(kLeastSigma, noise);
    const cv::Mat stronger = cv::abs(steps) > cv::abs(strongest);
    steps.copyTo(strongest, stronger);
  }
  return strongest;
}

// One edge point a profile: the strongest step near the expected line, or the outermost that is not much
// weaker (profiles run from the ground inward).
std::vector<EdgePoint> edge_points(const cv::Mat& steps, double length, double trust_px, int reach,
                                   bool outermost) {
  constexpr double kLeastSigmas = 3.0;
  constexpr double kWeaker = 0.25;  // of the strongest: a dark rim on a dark ground beside its picture
  std::vector<EdgePoint> points;
  std::vector<double> value(static_cast<std::size_t>(steps.cols));
  for (int i = 0; i < steps.rows; ++i) {
    const float* step = steps.ptr<float>(i);
    std::size_t at = 0;
    for (std::size_t j = kStep_px + 1; j + kStep_px + 1 < value.size(); ++j) {
      const double off = (static_cast<double>(j) - reach) / trust_px;
      value[j] = std::abs(static_cast<double>(step[j])) * std::exp(-0.5 * off * off);
      if (at == 0 || value[j] > value[at]) at = j;
    }
    if (outermost) {
      const double enough = std::max(kWeaker * value[at], kLeastSigmas);
      for (std::size_t j = kStep_px + 2; j < at; ++j) {
        if (value[j] >= enough && value[j] >= value[j - 1] && value[j] > value[j + 1]) {
          at = j;
          break;
        }
      }
    }
    const double here = std::abs(static_cast<double>(step[at]));
    if (at == 0 || here < kLeastSigmas) continue;
    const double before = std::abs(static_cast<double>(step[at - 1]));
    const double after = std::abs(static_cast<double>(step[at + 1]));
    const double curvature = before - 2 * here + after;
    const double shift = curvature < 0 ? std::clamp(0.5 * (before - after) / curvature, -0.5, 0.5) : 0.0;
    points.push_back({(kEnds + (1 - 2 * kEnds) * (i + 0.5) / steps.rows) * length,
                      static_cast<double>(at) - reach + shift, here});
  }
  return points;
}

struct SideLine {
  double offset = 0.0;  // across at along = 0
  double slope = 0.0;
  double scatter = 0.0;
  double support = 0.0;
  double contrast = 0.0;
};

// Least squares with Tukey's weights, from a start by medians.
SideLine robust_line(const std::vector<EdgePoint>& points, double length, int profiles) {
  constexpr double kTukey = 4.7;         // 95% efficiency for Gaussian scatter
  constexpr double kLeastScatter = 0.3;  // px: pixels are no finer
  SideLine line;
  std::vector<double> first;
  std::vector<double> second;
  std::vector<double> steps;
  for (const EdgePoint& p : points) {
    (p.along < length / 2 ? first : second).push_back(p.across);
    steps.push_back(p.step);
  }
  if (first.size() < 5 || second.size() < 5) return line;
  line.slope = (median(second) - median(first)) / (length / 2);
  line.offset = median(first) - line.slope * length / 4;
  for (int pass = 0; pass < 12; ++pass) {
    std::vector<double> residuals;
    residuals.reserve(points.size());
    for (const EdgePoint& p : points)
      residuals.push_back(std::abs(p.across - line.offset - line.slope * p.along));
    line.scatter = std::max(kLeastScatter, kSigmaPerMad * median(residuals));
    double w = 0, t = 0, tt = 0, a = 0, ta = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double off = residuals[i] / (kTukey * line.scatter);
      if (off >= 1.0) continue;
      const double weight = (1 - off * off) * (1 - off * off);
      w += weight;
      t += weight * points[i].along;
      tt += weight * points[i].along * points[i].along;
      a += weight * points[i].across;
      ta += weight * points[i].along * points[i].across;
    }
    const double spread = tt - t * t / w;
    if (spread <= 0) break;
    line.slope = (ta - t * a / w) / spread;
    line.offset = (a - line.slope * t) / w;
  }
  const auto close = std::count_if(points.begin(), points.end(), [&](const EdgePoint& p) {
    return std::abs(p.across - line.offset - line.slope * p.along) < kTukey * line.scatter;
  });
  line.support = static_cast<double>(close) / profiles;
  line.contrast = median(steps);
  return line;
}

Point crossing(Point a, Point b, Point c, Point d) {
  const Point u = b - a;
  const Point v = d - c;
  const double turn = u.x * v.y - u.y * v.x;
  if (std::abs(turn) < 1e-9 * (std::hypot(u.x, u.y) * std::hypot(v.x, v.y))) return b;
  const double along = ((c.x - a.x) * v.y - (c.y - a.y) * v.x) / turn;
  return a + along * u;
}

}  // namespace

RefinedOutline refined_outline(const LinearImage& image, const Quad& coarse, double coarse_error_px,
                               const std::array<bool, 4>& fixed) {
  const cv::Mat& light = image.rgb.empty() ? image.luminance : image.rgb;
  RefinedOutline refined;
  std::array<std::array<Point, 2>, 4> lines;
  for (std::size_t i = 0; i < 4; ++i) lines[i] = {coarse[i], coarse[(i + 1) % 4]};
  for (std::size_t i = 0; i < 4; ++i) {
    if (fixed[i]) continue;
    double trust_px = std::max(2.0, 1.5 * coarse_error_px);
    for (int pass = 0; pass < 3; ++pass) {
      const auto [a, b] = lines[i];
      const double length = distance(a, b);
      const int count = std::clamp(static_cast<int>(length), 20, kProfiles);
      const int reach = static_cast<int>(std::ceil(2.5 * trust_px)) + kStep_px + 6;
      const cv::Mat steps = steps_in_sigmas(profiles_across(light, a, b, count, reach), reach);
      SideLine line = robust_line(edge_points(steps, length, trust_px, reach, false), length, count);
      if (pass == 0) {
        const SideLine outer = robust_line(edge_points(steps, length, trust_px, reach, true), length, count);
        if (outer.support > kAgreed * line.support && outer.scatter < line.scatter + kMoreScatter_px)
          line = outer;
      }
      if (line.support <= 0) break;
      const Point direction = 1.0 / length * (b - a);
      const Point normal{-direction.y, direction.x};
      lines[i] = {a + line.offset * normal, b + (line.offset + line.slope * length) * normal};
      refined.support[i] = line.support;
      refined.scatter_px[i] = line.scatter;
      refined.contrast[i] = line.contrast;
      trust_px = std::max(2.0, std::min(trust_px, 2.0 * line.scatter));
    }
  }
  for (std::size_t i = 0; i < 4; ++i) {
    const auto& before = lines[(i + 3) % 4];
    refined.corners_working_px[i] = crossing(before[0], before[1], lines[i][0], lines[i][1]);
  }
  return refined;
}

}  // namespace platewise
