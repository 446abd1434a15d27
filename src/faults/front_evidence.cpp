#include "front_evidence.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

// Local scale of a heavy-tailed quantity: the mean root of its size, squared; for a Gaussian 0.822^2 sigma.
cv::Mat local_scale(const Loss& loss, double px_per_unit) {
  constexpr double kReachUnits = 8.0;
  constexpr double kOfGaussian = 0.822 * 0.822;
  const int reach = 2 * static_cast<int>(std::lround(kReachUnits * px_per_unit)) + 1;
  cv::Mat root;
  cv::sqrt(cv::abs(loss.loss), root);
  cv::Mat weight;
  loss.known.convertTo(weight, CV_32F, 1.0 / 255.0);
  root = root.mul(weight);
  cv::Mat sum;
  cv::Mat count;
  cv::boxFilter(root, sum, CV_32F, {3, reach}, {-1, -1}, false, cv::BORDER_CONSTANT);
  cv::boxFilter(weight, count, CV_32F, {3, reach}, {-1, -1}, false, cv::BORDER_CONSTANT);
  const cv::Mat mean = sum / cv::max(count, 1.0F);
  return mean.mul(mean) / kOfGaussian;
}

}  // namespace

Loss loss_across(const Blocks& blocks, const FlowPicture& picture, const Windows& windows) {
  const double k = picture.px_per_unit;
  const auto px = [&](double units) { return static_cast<int>(std::lround(units * k)); };
  Loss result{cv::Mat::zeros(blocks.rows, blocks.blocks, CV_32FC1),
              cv::Mat::zeros(blocks.rows, blocks.blocks, CV_32FC1),
              cv::Mat::zeros(blocks.rows, blocks.blocks, CV_8UC1)};
  for (int y = 0; y < blocks.rows; ++y)
    for (int b = 0; b < blocks.blocks; ++b) {
      double spared = 0.0;
      double lost = 0.0;
      if (!blocks.mean(b, y + px(windows.from), y + px(windows.to), spared) ||
          !blocks.mean(b, y + px(windows.lost_from), y + px(windows.lost_to), lost))
        continue;
      result.loss.at<float>(y, b) = static_cast<float>(spared - lost);
      result.level.at<float>(y, b) = static_cast<float>(std::max(0.0, spared - picture.floor));
      result.known.at<std::uint8_t>(y, b) = 255;
    }
  return result;
}

cv::Mat log_likelihood_ratio(const Loss& loss, double weaker, double grain, double px_per_unit) {
  constexpr double kFreedom = 2.0;
  constexpr double kUneven = 0.3;  // of the loss itself, from place to place
  constexpr double kMost = 5.0;
  const cv::Mat scale = local_scale(loss, px_per_unit);
  cv::Mat ratio = cv::Mat::zeros(loss.loss.size(), CV_32FC1);
  for (int y = 0; y < ratio.rows; ++y)
    for (int b = 0; b < ratio.cols; ++b) {
      if (loss.known.at<std::uint8_t>(y, b) == 0) continue;
      const auto d = static_cast<double>(loss.loss.at<float>(y, b));
      const double expected = weaker * static_cast<double>(loss.level.at<float>(y, b));
      const double sigma = std::hypot(static_cast<double>(scale.at<float>(y, b)), grain);
      const double spread = std::hypot(sigma, kUneven * expected);
      const double without = 1.0 + d * d / (kFreedom * sigma * sigma);
      const double off = (d - expected) / spread;
      const double with = (1.0 + off * off / kFreedom);
      const double value =
          0.5 * (kFreedom + 1.0) * (std::log(without) - std::log(with)) - std::log(spread / sigma);
      ratio.at<float>(y, b) = static_cast<float>(std::clamp(value, -kMost, kMost));
    }
  return ratio;
}

}  // namespace platewise
