#include "signal_density.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr double kSmallestSignal = 1.0 / 65535.0;  // of a 16-bit file

double bell(double z) {
  return std::exp(-z * z / 2.0) / std::sqrt(2.0 * std::numbers::pi);
}
double below(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

}  // namespace

cv::Mat density_without_flare(const cv::Mat& signal, double flare) {
  const double least = std::max(2.0 * flare, kSmallestSignal);
  cv::Mat density;
  cv::max(signal, least, density);
  density -= cv::Scalar::all(flare);
  cv::log(density, density);
  density *= -1.0 / std::numbers::ln10;
  if (flare > 0) {
    cv::Mat missing;
    cv::subtract(cv::Scalar::all(2.0 * flare), signal, missing);
    cv::max(missing, 0.0, missing);
    cv::scaleAdd(missing, 1.0 / (flare * std::numbers::ln10), density, density);
  }
  density.setTo(cv::Scalar::all(std::nan("")), ~cv::Mat(signal == signal));
  return density;
}

cv::Mat density_by_curve(const cv::Mat& signal, const DeviceCurve& device) {
  constexpr int kSteps = 4096;
  const double from = std::log10(kSmallestSignal);
  const double to = std::log10(4.0);  // flat-fielding may lift a signal above full scale
  std::vector<float> table(kSteps + 1);
  for (int i = 0; i <= kSteps; ++i) {
    const double log_signal = from + (to - from) * i / kSteps;
    table[static_cast<std::size_t>(i)] =
        static_cast<float>(density_of(device, std::pow(10.0, log_signal)).value);
  }

  cv::Mat position;
  cv::max(signal, kSmallestSignal, position);
  cv::log(position, position);
  const double scale = kSteps / (to - from);
  position.convertTo(position, CV_32F, scale / std::numbers::ln10, -from * scale);
  cv::Mat density(signal.size(), CV_32FC1);
  for (int y = 0; y < signal.rows; ++y) {
    const auto* source = signal.ptr<float>(y);
    const auto* at = position.ptr<float>(y);
    auto* target = density.ptr<float>(y);
    for (int x = 0; x < signal.cols; ++x) {
      if (std::isnan(source[x])) {
        target[x] = source[x];
        continue;
      }
      const float place = std::clamp(at[x], 0.0F, static_cast<float>(kSteps) - 0.001F);
      const auto left = static_cast<std::size_t>(place);
      const float share = place - static_cast<float>(left);
      target[x] = table[left] + share * (table[left + 1] - table[left]);
    }
  }
  return density;
}

Quantity flare_below(Quantity prior, double darkest) {
  const double low = -prior.value / prior.u;
  const double high = (std::max(darkest, kSmallestSignal) - prior.value) / prior.u;
  const double mass = below(high) - below(low);
  const double tilt = (bell(low) - bell(high)) / mass;
  const double spread = 1.0 + (low * bell(low) - high * bell(high)) / mass - tilt * tilt;
  return {prior.value + prior.u * tilt, prior.u * std::sqrt(std::max(spread, 0.0))};
}

}  // namespace platewise
