#include "ring_between.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <utility>
#include <vector>

namespace platewise {
namespace {

constexpr double kApart_px = 3.0;

// From the 2nd to the 98th percentile of what lies outside the outline; nothing where too little does.
struct Tones {
  double least = 0.0;
  double most = 0.0;
  bool known = false;
};

Tones ground_tones(const cv::Mat& lightness, const Quad& outer) {
  constexpr int kEvery = 3;
  constexpr std::size_t kLeastPlaces = 200;
  constexpr double kClear_px = 3.0;
  std::vector<cv::Point2f> outline;
  for (const Point p : outer) outline.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
  std::vector<float> tones;
  for (int y = 0; y < lightness.rows; y += kEvery) {
    for (int x = 0; x < lightness.cols; x += kEvery) {
      const cv::Point2f at(static_cast<float>(x) + 0.5F, static_cast<float>(y) + 0.5F);
      if (cv::pointPolygonTest(outline, at, true) < -kClear_px) tones.push_back(lightness.at<float>(y, x));
    }
  }
  if (tones.size() < kLeastPlaces) return {};
  std::sort(tones.begin(), tones.end());
  const auto at = [&](double share) {
    return static_cast<double>(tones[static_cast<std::size_t>(share * static_cast<double>(tones.size() - 1))]);
  };
  return {at(0.02), at(0.98), true};
}

// Along a side, at a share of the way from the outer to the inner one; the corners are left out.
double tone_across(const cv::Mat& lightness, const std::pair<Point, Point>& outer,
                   const std::pair<Point, Point>& inner, double share) {
  constexpr double kCorner = 0.1;
  const Point from = outer.first + share * (inner.first - outer.first);
  const Point to = outer.second + share * (inner.second - outer.second);
  return middle_lightness(lightness, from + kCorner * (to - from), to + kCorner * (from - to));
}

Ring ring_of_channel(const cv::Mat& lightness, const Quad& outer, const Quad& inner) {
  constexpr double kUneven = 0.06;  // lightness, of the ground: wood, cloth
  constexpr double kBeyond = 0.02;  // lightness, beyond the ground's tones
  constexpr double kEven = 0.4;     // of the step to the ground: a shadow fades across
  const Tones ground = ground_tones(lightness, outer);
  if (!ground.known) return Ring::unclear;
  bool all_plate = true;
  bool all_ground = ground.most - ground.least > kUneven;
  for (std::size_t i = 0; i < 4; ++i) {
    const std::pair out{outer[i], outer[(i + 1) % 4]};
    const std::pair in{inner[i], inner[(i + 1) % 4]};
    if (0.5 * distance(out.first + out.second, in.first + in.second) < kApart_px) continue;
    const double near_edge = tone_across(lightness, out, in, 0.3);
    const double near_picture = tone_across(lightness, out, in, 0.7);
    const double tone = 0.5 * (near_edge + near_picture);
    const double step = std::max(ground.least - tone, tone - ground.most);
    all_plate = all_plate && step > kBeyond && std::abs(near_edge - near_picture) < kEven * step;
    all_ground = all_ground && step < 0.0;
  }
  if (all_plate) return Ring::plate;
  return all_ground ? Ring::ground : Ring::unclear;
}

}  // namespace

// A rim need stand out in one colour only; ground is ground in all of them.
Ring ring_between(const SearchImage& search, const Quad& outer, const Quad& inner) {
  std::vector<cv::Mat> channels;
  cv::split(search.lightness, channels);
  bool all_ground = true;
  for (const cv::Mat& lightness : channels) {
    const Ring ring = ring_of_channel(lightness, outer, inner);
    if (ring == Ring::plate) return Ring::plate;
    all_ground = all_ground && ring == Ring::ground;
  }
  return all_ground ? Ring::ground : Ring::unclear;
}

}  // namespace platewise
