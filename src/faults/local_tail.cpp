#include "local_tail.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace platewise {
namespace {

constexpr double kLowShare = 0.05;
constexpr double kHighShare = 0.005;
constexpr std::size_t kEnoughPixels = 2000;
constexpr float kLeastResponse = 1e-6F;
constexpr double kSteepest = 1.6;  // a steeper tail would be the sample's own end, not the background's
constexpr double kFlattest = 0.4;

struct Tail {
  double log_a = 0.0;
  double c = 1.0;
};

float upper_quantile(std::vector<float>& values, double share) {
  const auto at = static_cast<std::size_t>((1.0 - share) * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(at), values.end());
  return std::max(values[at], kLeastResponse);
}

Tail fitted(std::vector<float>& values) {
  const double low = upper_quantile(values, kLowShare);
  const double high = std::max<double>(upper_quantile(values, kHighShare), low * 1.01);
  const double exponents = std::log(std::log(kHighShare) / std::log(kLowShare));
  const double c = std::clamp(exponents / std::log(high / low), kFlattest, kSteepest);
  return {std::log(high) - std::log(-std::log(kHighShare)) / c, c};
}

void collect(const cv::Mat& response, const Mask& where, const cv::Rect& box, std::vector<float>& values) {
  values.clear();
  for (int y = box.y; y < box.y + box.height; ++y) {
    for (int x = box.x; x < box.x + box.width; ++x) {
      if (where.inside.at<std::uint8_t>(y, x) != 0) values.push_back(response.at<float>(y, x));
    }
  }
}

float blended(const cv::Mat& tiles, double x, double y) {
  const double u = std::clamp(x, 0.0, tiles.cols - 1.0);
  const double v = std::clamp(y, 0.0, tiles.rows - 1.0);
  const int x0 = static_cast<int>(u);
  const int y0 = static_cast<int>(v);
  const int x1 = std::min(x0 + 1, tiles.cols - 1);
  const int y1 = std::min(y0 + 1, tiles.rows - 1);
  const auto fx = static_cast<float>(u - x0);
  const auto fy = static_cast<float>(v - y0);
  return (1 - fy) * ((1 - fx) * tiles.at<float>(y0, x0) + fx * tiles.at<float>(y0, x1)) +
         fy * ((1 - fx) * tiles.at<float>(y1, x0) + fx * tiles.at<float>(y1, x1));
}

}  // namespace

LocalTail::LocalTail(const cv::Mat& response, const Mask& where, int tile_px) : tile_px_(tile_px) {
  const cv::Rect whole(0, 0, response.cols, response.rows);
  std::vector<float> values;
  collect(response, where, whole, values);
  const Tail everywhere = values.size() < kEnoughPixels ? Tail{} : fitted(values);
  const cv::Size tiles((response.cols + tile_px - 1) / tile_px, (response.rows + tile_px - 1) / tile_px);
  log_a_ = cv::Mat(tiles, CV_32FC1);
  c_ = cv::Mat(tiles, CV_32FC1);
  for (int ty = 0; ty < tiles.height; ++ty) {
    for (int tx = 0; tx < tiles.width; ++tx) {
      // Neighbourhoods overlap by half a tile on each side.
      const cv::Rect box =
          cv::Rect(tx * tile_px - tile_px / 2, ty * tile_px - tile_px / 2, 2 * tile_px, 2 * tile_px) & whole;
      collect(response, where, box, values);
      const Tail tail = values.size() < kEnoughPixels ? everywhere : fitted(values);
      log_a_.at<float>(ty, tx) = static_cast<float>(tail.log_a);
      c_.at<float>(ty, tx) = static_cast<float>(tail.c);
    }
  }
}

double LocalTail::log10_probability(int x, int y, float response) const {
  if (response <= kLeastResponse) return 0.0;
  const double u = (x + 0.5) / tile_px_ - 0.5;
  const double v = (y + 0.5) / tile_px_ - 0.5;
  const double log_a = blended(log_a_, u, v);
  const double c = blended(c_, u, v);
  return -std::exp(c * (std::log(static_cast<double>(response)) - log_a)) / std::numbers::ln10;
}

}  // namespace platewise
