#include "band_field.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kPxPerPeriod = 6.0;
constexpr double kAlongPeriods = 1.2;
constexpr double kAcrossPeriods = 0.5;
constexpr double kBackgroundPeriods = 1.5;
constexpr double kStepPeriods = 2.0;
constexpr double kHeldDownAt = 1.5;  // times the usual size of the rises and falls round a place
constexpr double kLeastUsual = 0.5;  // of the middle over the plate
constexpr double kClearOfBorderPeriods = 0.6;

struct Waves {
  cv::Mat detail;  // CV_32FC1, 0 where nothing is known
  cv::Mat known;   // CV_8UC1
  double px_per_unit = 1.0;
};

double median_size(const cv::Mat& values, const cv::Mat& known) {
  std::vector<double> sizes;
  for (int y = 0; y < values.rows; ++y)
    for (int x = 0; x < values.cols; ++x)
      if (known.at<std::uint8_t>(y, x) != 0) sizes.push_back(std::abs(values.at<float>(y, x)));
  return sizes.empty() ? 0.0 : median(sizes);
}

// Rises and falls beyond what is usual round a place are held down to little more than that.
cv::Mat held_down(const cv::Mat& detail, const cv::Mat& weight, double sigma_px, double least_usual) {
  cv::Mat sizes;
  cv::Mat weights;
  cv::GaussianBlur(cv::abs(detail), sizes, {}, sigma_px);
  cv::GaussianBlur(weight, weights, {}, sigma_px);
  cv::Mat held = detail.clone();
  for (int y = 0; y < held.rows; ++y) {
    for (int x = 0; x < held.cols; ++x) {
      const double usual =
          kHeldDownAt *
          std::max({1e-6, least_usual,
                    static_cast<double>(sizes.at<float>(y, x) / std::max(1e-3F, weights.at<float>(y, x)))});
      auto& value = held.at<float>(y, x);
      value = static_cast<float>(value / std::hypot(1.0, value / usual));
    }
  }
  return held;
}

Waves waves_of(const Evidence& evidence, double period_units) {
  Waves waves;
  const double scale = std::min(1.0, kPxPerPeriod / (period_units * evidence.px_per_unit));
  const cv::Size size(std::max(1, static_cast<int>(std::lround(evidence.silver.cols * scale))),
                      std::max(1, static_cast<int>(std::lround(evidence.silver.rows * scale))));
  waves.px_per_unit = evidence.px_per_unit * size.width / evidence.silver.cols;
  cv::Mat inside = evidence.film.inside;
  if (!evidence.regions->picture.inside.empty()) inside = inside & evidence.regions->picture.inside;
  cv::resize(inside, waves.known, size, 0, 0, cv::INTER_AREA);
  waves.known = waves.known > 254;
  cv::Mat silver;
  cv::resize(evidence.silver, silver, size, 0, 0, cv::INTER_AREA);
  cv::Mat weight;
  waves.known.convertTo(weight, CV_32F, 1.0 / 255.0);
  const double sigma = kBackgroundPeriods * period_units * waves.px_per_unit;
  cv::Mat sum;
  cv::Mat weights;
  cv::GaussianBlur(silver.mul(weight), sum, {}, sigma);
  cv::GaussianBlur(weight, weights, {}, sigma);
  cv::Mat detail = (silver - sum / cv::max(weights, 1e-3)).mul(weight);
  waves.detail = held_down(detail, weight, sigma, kLeastUsual * median_size(detail, waves.known));
  return waves;
}

// One side lobe in frequency, so that the answer's modulus is the amplitude whatever the phase.
cv::Mat lobe(cv::Size size, double frequency, double angle, double along_sigma_px, double across_sigma_px) {
  cv::Mat gain(size, CV_32FC1);
  const double cx = -std::sin(angle);  // across the bands
  const double cy = std::cos(angle);
  constexpr double kTwoPi2 = 2.0 * std::numbers::pi * std::numbers::pi;
  for (int y = 0; y < size.height; ++y) {
    const double fy = (y <= size.height / 2 ? y : y - size.height) / static_cast<double>(size.height);
    for (int x = 0; x < size.width; ++x) {
      const double fx = (x <= size.width / 2 ? x : x - size.width) / static_cast<double>(size.width);
      const double across = fx * cx + fy * cy - frequency;
      const double along = fx * cy - fy * cx;
      gain.at<float>(y, x) =
          static_cast<float>(std::exp(-kTwoPi2 * (across * across * across_sigma_px * across_sigma_px +
                                                  along * along * along_sigma_px * along_sigma_px)));
    }
  }
  return gain;
}

cv::Mat amplitude(const cv::Mat& spectrum, const cv::Mat& gain) {
  std::array<cv::Mat, 2> parts;
  cv::split(spectrum, parts.data());
  parts[0] = parts[0].mul(gain);
  parts[1] = parts[1].mul(gain);
  cv::Mat wave;
  cv::merge(parts.data(), 2, wave);
  cv::dft(wave, wave, cv::DFT_INVERSE | cv::DFT_SCALE | cv::DFT_COMPLEX_OUTPUT);
  cv::split(wave, parts.data());
  cv::Mat size;
  cv::magnitude(parts[0], parts[1], size);
  return 2.0 * size;
}

BandCell cell_at(const std::vector<cv::Mat>& amplitudes, cv::Point at) {
  std::array<double, kBandDirections> sizes{};
  for (int d = 0; d < kBandDirections; ++d)
    sizes[static_cast<std::size_t>(d)] = amplitudes[static_cast<std::size_t>(d)].at<float>(at);
  const auto greatest = std::max_element(sizes.begin(), sizes.end());
  BandCell cell;
  cell.direction = static_cast<int>(greatest - sizes.begin());
  cell.strength = *greatest;
  std::array<double, kBandDirections> sorted = sizes;
  std::nth_element(sorted.begin(), sorted.begin() + kBandDirections / 2, sorted.end());
  cell.clearness = cell.strength / std::max(1e-9, sorted[kBandDirections / 2]);
  return cell;
}

}  // namespace

double band_angle(int direction) {
  return direction * std::numbers::pi / kBandDirections;
}

BandField band_field(const Evidence& evidence, double period_units) {
  const Waves waves = waves_of(evidence, period_units);
  const double period_px = period_units * waves.px_per_unit;
  const int margin = static_cast<int>(std::ceil(3.0 * kAlongPeriods * period_px));
  const cv::Size size(cv::getOptimalDFTSize(waves.detail.cols + margin),
                      cv::getOptimalDFTSize(waves.detail.rows + margin));
  cv::Mat padded;
  cv::copyMakeBorder(waves.detail, padded, 0, size.height - waves.detail.rows, 0,
                     size.width - waves.detail.cols, cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::Mat spectrum;
  cv::dft(padded, spectrum, cv::DFT_COMPLEX_OUTPUT);
  std::vector<cv::Mat> amplitudes;
  amplitudes.reserve(kBandDirections);
  for (int d = 0; d < kBandDirections; ++d)
    amplitudes.push_back(amplitude(spectrum, lobe(size, 1.0 / period_px, band_angle(d),
                                                  kAlongPeriods * period_px, kAcrossPeriods * period_px)));
  cv::Mat clear;
  const int side = 2 * static_cast<int>(std::lround(kClearOfBorderPeriods * period_px)) + 1;
  cv::erode(waves.known, clear, cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side}), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar(0));
  BandField field{.period_units = period_units, .step_units = kStepPeriods * period_units};
  const double step = field.step_units * waves.px_per_unit;
  for (double y = step / 2; y < clear.rows; y += step) {
    for (double x = step / 2; x < clear.cols; x += step) {
      const cv::Point at(static_cast<int>(x), static_cast<int>(y));
      if (clear.at<std::uint8_t>(at) == 0) continue;
      BandCell cell = cell_at(amplitudes, at);
      cell.at_units = {(at.x + 0.5) / waves.px_per_unit, (at.y + 0.5) / waves.px_per_unit};
      field.cells.push_back(cell);
    }
  }
  return field;
}

}  // namespace platewise
