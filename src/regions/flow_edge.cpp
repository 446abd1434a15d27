#include "flow_edge.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "working_tone.h"

namespace platewise {
namespace {

constexpr double kStretchHundredths = 5.0;
constexpr double kBlurHundredths = 0.4;  // of the border itself: neither side is read there
constexpr double kRingHundredths = 0.9;

struct Mean {
  double sum = 0.0;
  int count = 0;
  void add(double value) {
    sum += value;
    ++count;
  }
  [[nodiscard]] double value() const { return sum / std::max(1, count); }
};

// From deep inside the piece to far outside.
struct Stretch {
  std::array<Mean, 4> rings;
};

// Which ring a pixel lies in by its signed distance from the border; -1 for none.
int ring_of(double outward, double thin) {
  const double near = std::min(kBlurHundredths, thin / 3.0);
  if (outward < -(near + 2.0 * kRingHundredths)) return -1;
  if (outward < -(near + kRingHundredths)) return 0;
  if (outward < -near) return 1;
  if (outward < kBlurHundredths) return -1;
  if (outward < kBlurHundredths + kRingHundredths) return 2;
  if (outward < kBlurHundredths + 2.0 * kRingHundredths) return 3;
  return -1;
}

std::vector<Stretch> stretches_of(const cv::Mat& inside, const cv::Mat& tone, const cv::Mat& usable,
                                  double hundredth_px) {
  cv::Mat within;
  cv::Mat beyond;
  cv::Mat framed;
  cv::copyMakeBorder(inside, framed, 1, 1, 1, 1, cv::BORDER_REPLICATE);
  cv::distanceTransform(framed, within, cv::DIST_L2, 3);
  cv::distanceTransform(~framed, beyond, cv::DIST_L2, 3);
  double deepest = 0.0;
  cv::minMaxLoc(within, nullptr, &deepest);
  const double thin = deepest / hundredth_px;
  const double stretch_px = kStretchHundredths * hundredth_px;
  const int across = 1 + static_cast<int>(inside.cols / stretch_px);
  const int down = 1 + static_cast<int>(inside.rows / stretch_px);
  std::vector<Stretch> stretches(static_cast<std::size_t>(across) * static_cast<std::size_t>(down));
  for (int y = 0; y < inside.rows; ++y) {
    for (int x = 0; x < inside.cols; ++x) {
      if (usable.at<std::uint8_t>(y, x) == 0) continue;
      const float in = within.at<float>(y + 1, x + 1);
      const float out = beyond.at<float>(y + 1, x + 1);
      const double outward = static_cast<double>(in > 0.0F ? -in : out) / hundredth_px;
      const int ring = ring_of(outward, thin);
      if (ring < 0) continue;
      const int stretch = static_cast<int>(y / stretch_px) * across + static_cast<int>(x / stretch_px);
      stretches[static_cast<std::size_t>(stretch)].rings[static_cast<std::size_t>(ring)].add(
          static_cast<double>(tone.at<float>(y, x)));
    }
  }
  return stretches;
}

// Pixels of the inner border at each place along one side of the plate; -1 where the piece does not reach it.
std::vector<float> depths_from_side(const cv::Mat& inside, int side) {
  cv::Mat turned = inside;
  if (side % 2 == 1) cv::transpose(inside, turned);
  if (side >= 2) {
    cv::Mat flipped;
    cv::flip(turned, flipped, 1);
    turned = flipped;
  }
  std::vector<float> depths;
  for (int y = 0; y < turned.rows; ++y) {
    const auto* row = turned.ptr<std::uint8_t>(y);
    int x = 0;
    while (x < turned.cols / 40 && row[x] == 0) ++x;
    const int begin = x;
    while (x < turned.cols && row[x] != 0) ++x;
    depths.push_back(x > begin && x < turned.cols / 3 ? static_cast<float>(x) : -1.0F);
  }
  return depths;
}

}  // namespace

FlowEdge flow_edge(const cv::Mat& inside, const cv::Mat& tone, const cv::Mat& usable, double hundredth_px,
                   double sigma) {
  FlowEdge edge;
  std::vector<float> steps;
  int sharp = 0;
  int all = 0;
  for (const Stretch& stretch : stretches_of(inside, tone, usable, hundredth_px)) {
    const auto& [deep, inner, outer, far] = stretch.rings;
    const double enough = 0.5 * hundredth_px * hundredth_px;
    if (inner.count < enough / 2.0 || outer.count < enough) continue;
    const double step = outer.value() - inner.value();
    // Neighbouring pixels share their noise over about half a hundredth.
    const double independent = std::max(1.0, std::min(inner.count, outer.count) / (0.3 * enough));
    const double noise = sigma * std::sqrt(2.0 / independent);
    const double trend = deep.count >= enough ? std::abs(inner.value() - deep.value()) : 0.0;
    constexpr double kSmallestStep = 0.006;  // D
    constexpr double kSteeper = 2.0;
    const int weight = std::min(inner.count, outer.count);
    all += weight;
    steps.push_back(static_cast<float>(step));
    if (step >= std::max({kSmallestStep, 4.0 * noise, kSteeper * trend})) sharp += weight;
  }
  if (steps.empty()) return edge;
  edge.sharp_share = sharp / static_cast<double>(all);
  edge.step = quantile(steps, 0.5);
  return edge;
}

double straight_share(const cv::Mat& inside, double hundredth_px, const std::array<double, 4>& holder_px) {
  constexpr double kStraightHundredths = 0.2;
  constexpr double kRimHundredths = 1.5;  // a rim at least so wide lies between
  double largest = 0.0;
  for (int side = 0; side < 4; ++side) {
    const std::vector<float> depths = depths_from_side(inside, side);
    const auto length = static_cast<int>(depths.size());
    const int begin = length / 10;
    // The best of the lines through two places, a coarse search that needs no chance.
    for (int a = begin; a < length / 2; a += std::max(1, length / 24)) {
      for (int b = length / 2; b < length - begin; b += std::max(1, length / 24)) {
        const float from = depths[static_cast<std::size_t>(a)];
        const float to = depths[static_cast<std::size_t>(b)];
        if (from < 0.0F || to < 0.0F) continue;
        const double slope = static_cast<double>(to - from) / (b - a);
        constexpr double kLargestSlope = 0.04;
        if (std::abs(slope) > kLargestSlope) continue;
        const double rim_px =
            holder_px[static_cast<std::size_t>(side)] - static_cast<double>(std::max(from, to));
        if (rim_px >= kRimHundredths * hundredth_px) continue;
        int on = 0;
        for (int i = begin; i < length - begin; ++i) {
          const float depth = depths[static_cast<std::size_t>(i)];
          const double line = static_cast<double>(from) + slope * (i - a);
          on += depth >= 0.0F && std::abs(static_cast<double>(depth) - line) <=
                                     std::max(1.0, kStraightHundredths * hundredth_px);
        }
        largest = std::max(largest, on / static_cast<double>(length - 2 * begin));
      }
    }
  }
  return largest;
}

}  // namespace platewise
