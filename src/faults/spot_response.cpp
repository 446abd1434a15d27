#include "spot_response.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/stats/distributions.h"

namespace platewise {
namespace {

// Rings of places round a spot; the nearest bounds it.
struct Ring {
  double radii;
  double more_px;
  int places;
};
constexpr std::array kRings{Ring{2.0, 1.5, 12}, Ring{3.3, 2.0, 16}, Ring{4.6, 2.5, 20}};
constexpr double kLowShare = 0.05;
constexpr double kHighShare = 0.005;
constexpr std::size_t kEnoughPixels = 2000;
constexpr double kLeastSigma = 1e-5;  // silver; an even picture without noise

cv::Mat disc_mean(const cv::Mat& silver, double radius_px) {
  const int reach = static_cast<int>(std::ceil(radius_px));
  cv::Mat kernel(2 * reach + 1, 2 * reach + 1, CV_32FC1);
  for (int y = 0; y < kernel.rows; ++y)
    for (int x = 0; x < kernel.cols; ++x)
      kernel.at<float>(y, x) =
          static_cast<float>(std::clamp(radius_px + 0.5 - std::hypot(x - reach, y - reach), 0.0, 1.0));
  kernel /= cv::sum(kernel)[0];
  cv::Mat mean;
  cv::filter2D(silver, mean, CV_32F, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
  return mean;
}

struct Tail {
  double middle = 0.0;
  double sigma = 1.0;
};

double upper_quantile(std::vector<float>& values, double share) {
  const auto at = static_cast<std::size_t>((1.0 - share) * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(at), values.end());
  return values[at];
}

Tail fitted(std::vector<float>& values) {
  const double z_low = normal_quantile(1.0 - kLowShare);
  const double z_high = normal_quantile(1.0 - kHighShare);
  const double low = upper_quantile(values, kLowShare);
  const double high = upper_quantile(values, kHighShare);
  Tail tail;
  tail.sigma = std::max(kLeastSigma, (high - low) / (z_high - z_low));
  tail.middle = high - z_high * tail.sigma;
  return tail;
}

void collect(const cv::Mat& response, const Mask& where, const cv::Rect& box, std::vector<float>& values) {
  values.clear();
  for (int y = box.y; y < box.y + box.height; ++y) {
    const auto* inside = where.inside.ptr<std::uint8_t>(y);
    const auto* row = response.ptr<float>(y);
    for (int x = box.x; x < box.x + box.width; ++x)
      if (inside[x] != 0) values.push_back(row[x]);
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

SpotResponse spot_response(const cv::Mat& silver, double radius_px) {
  const cv::Mat mean = disc_mean(silver, radius_px);
  const int reach = static_cast<int>(std::ceil(kRings.back().radii * radius_px + kRings.back().more_px)) + 1;
  cv::Mat framed;
  cv::copyMakeBorder(mean, framed, reach, reach, reach, reach, cv::BORDER_REFLECT);
  cv::Mat most(mean.size(), CV_32FC1, cv::Scalar(-1e9));
  cv::Mat sum = cv::Mat::zeros(mean.size(), CV_32FC1);
  cv::Mat squares = cv::Mat::zeros(mean.size(), CV_32FC1);
  int places = 0;
  for (const Ring& ring : kRings) {
    const double distance = ring.radii * radius_px + ring.more_px;
    for (int i = 0; i < ring.places; ++i) {
      const double turn = 2.0 * std::numbers::pi * i / ring.places;
      const cv::Mat place = framed(cv::Rect(reach + static_cast<int>(std::lround(distance * std::cos(turn))),
                                            reach + static_cast<int>(std::lround(distance * std::sin(turn))),
                                            mean.cols, mean.rows));
      if (&ring == kRings.data()) cv::max(most, place, most);
      const cv::Mat from_here = place - mean;
      sum += from_here;
      cv::accumulateSquare(from_here, squares);
      ++places;
    }
  }
  SpotResponse result;
  result.response = mean - most;
  const cv::Mat variance = (squares - sum.mul(sum) / places) / (places - 1.0);
  cv::Mat scatter;
  cv::sqrt(cv::max(variance, kLeastSigma * kLeastSigma), scatter);
  result.evenness = -sum / places / scatter;
  return result;
}

SpotBackground::SpotBackground(const cv::Mat& response, const Mask& where, int tile_px) : tile_px_(tile_px) {
  const cv::Rect whole(0, 0, response.cols, response.rows);
  std::vector<float> values;
  collect(response, where, whole, values);
  const Tail everywhere = values.size() < kEnoughPixels / 4 ? Tail{} : fitted(values);
  const cv::Size tiles((response.cols + tile_px - 1) / tile_px, (response.rows + tile_px - 1) / tile_px);
  middle_ = cv::Mat(tiles, CV_32FC1);
  sigma_ = cv::Mat(tiles, CV_32FC1);
  for (int ty = 0; ty < tiles.height; ++ty) {
    for (int tx = 0; tx < tiles.width; ++tx) {
      // Neighbourhoods overlap by half a tile on each side.
      const cv::Rect box =
          cv::Rect(tx * tile_px - tile_px / 2, ty * tile_px - tile_px / 2, 2 * tile_px, 2 * tile_px) & whole;
      collect(response, where, box, values);
      const Tail tail = values.size() < kEnoughPixels ? everywhere : fitted(values);
      middle_.at<float>(ty, tx) = static_cast<float>(tail.middle);
      sigma_.at<float>(ty, tx) = static_cast<float>(tail.sigma);
    }
  }
}

double SpotBackground::deviate(int x, int y, float response) const {
  const double u = (x + 0.5) / tile_px_ - 0.5;
  const double v = (y + 0.5) / tile_px_ - 0.5;
  return (response - blended(middle_, u, v)) / blended(sigma_, u, v);
}

}  // namespace platewise
