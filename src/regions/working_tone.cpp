#include "working_tone.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

// Enough that a hundredth of the long side is seven pixels: a rim's border is found to a fraction of a
// millimetre, and a plate takes a few milliseconds.
constexpr int kLongSidePx = 720;
constexpr double kStepHundredths = 0.6;  // wider than the blur of a rim's border in a phone photo

cv::Mat signed_tone(const cv::Mat& density, PlateKind kind) {
  cv::Mat tone;
  density.convertTo(tone, CV_32F, is_positive(kind) ? -1.0 : 1.0);
  return tone;
}

// Missing pixels take the value of the nearest one that has any, a level of a pyramid at a time.
void fill_missing(cv::Mat& tone, const cv::Mat& valid) {
  if (cv::countNonZero(valid) == static_cast<int>(valid.total())) return;
  cv::Mat known;
  valid.convertTo(known, CV_32F, 1.0 / 255.0);
  cv::Mat filled = tone.clone();
  filled.setTo(0.0F, ~valid);
  for (int size = 3; cv::countNonZero(known) < static_cast<int>(known.total()) && size < 4 * tone.rows;
       size *= 2) {
    cv::Mat sum;
    cv::Mat count;
    cv::boxFilter(filled.mul(known), sum, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
    cv::boxFilter(known, count, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
    const cv::Mat reached = (known == 0.0F) & (count > 1e-6F);
    cv::Mat(sum / cv::max(count, 1e-6F)).copyTo(filled, reached);
    known.setTo(1.0F, reached);
  }
  tone = filled;
}

// Deviation of every mean from the plane through its neighbours, which lie a window apart so that the film's
// mottle counts as much as single pixels' noise. Scaled so that its sigma is that of the means.
cv::Mat deviation_of_means(const cv::Mat& smooth, int step) {
  constexpr double kGain = 6.0;  // root of the sum of squares of the weights
  cv::Mat second_difference = cv::Mat::zeros(1, 2 * step + 1, CV_32FC1);
  second_difference.at<float>(0) = 1.0F;
  second_difference.at<float>(step) = -2.0F;
  second_difference.at<float>(2 * step) = 1.0F;
  cv::Mat deviation;
  cv::sepFilter2D(smooth, deviation, CV_32F, second_difference, second_difference / kGain, {-1, -1}, 0,
                  cv::BORDER_REFLECT_101);
  return cv::abs(deviation);
}

struct Deviation {
  float tone;
  float size;
};

// The quieter third of each tone's deviations tells the noise: the rest is picture.
std::vector<WorkingTone::NoiseKnot> noise_of_tones(const WorkingTone& working) {
  constexpr std::size_t kKnots = 10;
  constexpr double kQuietShare = 0.3;
  constexpr double kSigmaPerQuiet = 1.0 / 0.3853;  // 30th percentile of the absolute value of a Gaussian
  std::vector<Deviation> deviations;
  for (int y = 0; y < working.rows(); y += working.step_px) {
    for (int x = 0; x < working.cols(); x += working.step_px) {
      if (working.valid.at<std::uint8_t>(y, x) == 0) continue;
      deviations.push_back({working.smooth.at<float>(y, x), working.texture.at<float>(y, x)});
    }
  }
  std::sort(deviations.begin(), deviations.end(),
            [](const Deviation& a, const Deviation& b) { return a.tone < b.tone; });
  std::vector<WorkingTone::NoiseKnot> knots;
  const std::size_t each = deviations.size() / kKnots;
  for (std::size_t knot = 0; knot < kKnots && each >= 20; ++knot) {
    std::vector<float> sizes;
    for (std::size_t i = knot * each; i < (knot + 1) * each; ++i) sizes.push_back(deviations[i].size);
    knots.push_back({static_cast<double>(deviations[knot * each + each / 2].tone),
                     kSigmaPerQuiet * quantile(sizes, kQuietShare)});
  }
  return knots;
}

}  // namespace

int WorkingTone::pixels(double hundredths) const {
  return std::max(1, static_cast<int>(std::lround(hundredths * hundredth_px)));
}

double WorkingTone::noise_at(double tone_value) const {
  if (noise.empty()) return 0.0;
  const auto above = std::lower_bound(noise.begin(), noise.end(), tone_value,
                                      [](const NoiseKnot& knot, double value) { return knot.tone < value; });
  if (above == noise.begin()) return noise.front().sigma;
  if (above == noise.end()) return noise.back().sigma;
  const auto below = above - 1;
  const double share = (tone_value - below->tone) / std::max(1e-9, above->tone - below->tone);
  return below->sigma + share * (above->sigma - below->sigma);
}

WorkingTone working_tone(const DensityImage& plate, PlateKind kind) {
  WorkingTone working;
  const int long_side = std::max(plate.rows(), plate.cols());
  working.shrink = std::max(1.0, static_cast<double>(long_side) / kLongSidePx);
  const cv::Size size(std::max(1, static_cast<int>(std::lround(plate.cols() / working.shrink))),
                      std::max(1, static_cast<int>(std::lround(plate.rows() / working.shrink))));
  cv::Mat tone = signed_tone(plate.density, kind);
  const cv::Mat has_value = tone == tone;
  tone.setTo(0.0F, ~has_value);
  cv::Mat weight;
  has_value.convertTo(weight, CV_32F, 1.0 / 255.0);
  cv::Mat sum;
  cv::resize(tone, sum, size, 0, 0, cv::INTER_AREA);
  cv::resize(weight, weight, size, 0, 0, cv::INTER_AREA);
  constexpr float kHalf = 0.5F;
  working.valid = weight >= kHalf;
  cv::Mat mean = sum / cv::max(weight, kHalf);
  fill_missing(mean, working.valid);
  cv::medianBlur(mean, working.tone, 3);
  working.hundredth_px = std::max(size.width, size.height) / 100.0;
  working.step_px = std::max(2, static_cast<int>(std::lround(kStepHundredths * working.hundredth_px)));
  cv::blur(working.tone, working.smooth, {working.step_px, working.step_px}, {-1, -1}, cv::BORDER_REPLICATE);
  working.texture = deviation_of_means(working.smooth, working.step_px);
  working.noise = noise_of_tones(working);
  return working;
}

cv::Mat at_full_size(const cv::Mat& working_mask, const DensityImage& plate) {
  cv::Mat full;
  cv::resize(working_mask, full, plate.density.size(), 0, 0, cv::INTER_LINEAR);
  constexpr int kHalf = 127;
  return full > kHalf;
}

double quantile(std::vector<float>& values, double share) {
  if (values.empty()) return 0.0;
  const auto last = static_cast<double>(values.size() - 1);
  const auto place = values.begin() + static_cast<std::ptrdiff_t>(std::lround(share * last));
  std::nth_element(values.begin(), place, values.end());
  return static_cast<double>(*place);
}

MiddleAndSpread middle_and_spread(std::vector<float>& values) {
  const double middle = quantile(values, 0.5);
  for (float& value : values) value = std::abs(value - static_cast<float>(middle));
  constexpr double kSigmaPerMedian = 1.4826;  // Gaussian
  return {middle, kSigmaPerMedian * quantile(values, 0.5)};
}

}  // namespace platewise
