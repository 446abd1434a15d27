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
  constexpr int kClear_px = 3;
  cv::Mat within = outline_mask(lightness.size(), outer);
  cv::dilate(within, within, cv::Mat::ones(2 * kClear_px + 1, 2 * kClear_px + 1, CV_8UC1));
  std::vector<float> tones;
  for (int y = 0; y < lightness.rows; y += kEvery) {
    for (int x = 0; x < lightness.cols; x += kEvery) {
      if (within.at<std::uint8_t>(y, x) == 0) tones.push_back(lightness.at<float>(y, x));
    }
  }
  if (tones.size() < kLeastPlaces) return {};
  std::sort(tones.begin(), tones.end());
  const auto at = [&](double share) {
    return static_cast<double>(
        tones[static_cast<std::size_t>(share * static_cast<double>(tones.size() - 1))]);
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

// Between one side of the two outlines.
Ring strip_between(const cv::Mat& lightness, const Tones& ground, const std::pair<Point, Point>& outer,
                   const std::pair<Point, Point>& inner) {
  constexpr double kUneven = 0.06;  // lightness, of the ground: wood, cloth
  constexpr double kBeyond = 0.02;  // lightness, beyond the ground's tones
  constexpr double kEven = 0.4;     // of the step to the ground: a shadow fades across
  const double near_edge = tone_across(lightness, outer, inner, 0.3);
  const double near_picture = tone_across(lightness, outer, inner, 0.7);
  const double tone = 0.5 * (near_edge + near_picture);
  const double step = std::max(ground.least - tone, tone - ground.most);
  if (step > kBeyond && std::abs(near_edge - near_picture) < kEven * step) return Ring::plate;
  return step < 0.0 && ground.most - ground.least > kUneven ? Ring::ground : Ring::unclear;
}

double distance_to_line(Point p, const std::pair<Point, Point>& line) {
  const Point along = line.second - line.first;
  const Point off = p - line.first;
  return std::abs(along.x * off.y - along.y * off.x) / distance(line.first, line.second);
}

}  // namespace

// A rim need stand out in one colour only; ground is ground in all of them.
Ring ring_between(const SearchImage& search, const Quad& outer, const Quad& inner) {
  std::vector<cv::Mat> channels;
  cv::split(search.lightness, channels);
  std::vector<Tones> ground;
  ground.reserve(channels.size());
  for (const cv::Mat& lightness : channels) ground.push_back(ground_tones(lightness, outer));
  if (!ground.front().known) return Ring::unclear;
  int moved = 0;
  int plate = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const std::pair out{outer[i], outer[(i + 1) % 4]};
    const std::pair in{inner[i], inner[(i + 1) % 4]};
    if (distance_to_line(0.5 * (in.first + in.second), out) < kApart_px) continue;
    ++moved;
    bool stands_out = false;
    bool is_ground = true;
    for (std::size_t channel = 0; channel < channels.size(); ++channel) {
      const Ring strip = strip_between(channels[channel], ground[channel], out, in);
      stands_out = stands_out || strip == Ring::plate;
      is_ground = is_ground && strip == Ring::ground;
    }
    if (is_ground) return Ring::ground;
    plate += stands_out ? 1 : 0;
  }
  if (moved == 0 || plate < moved) return Ring::unclear;
  return moved == 4 ? Ring::plate_all_round : Ring::plate;
}

}  // namespace platewise
