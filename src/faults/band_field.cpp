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

// The waves of one direction and period: one side lobe in frequency, so that the answer's modulus is the
// amplitude whatever the phase.
struct Lobe {
  double frequency = 0.0;  // cycles per pixel
  double angle = 0.0;
  double along_sigma_px = 0.0;
  double across_sigma_px = 0.0;
};

// Frequency of each row or column of a spectrum, cycles per pixel.
double frequency_of(int place, int size) {
  return (place <= size / 2 ? place : place - size) / static_cast<double>(size);
}

// The spectrum under the lobe, transposed; beyond `kFarOut` it is less than a float can tell beside the rest.
cv::Mat under_lobe(const cv::Mat& spectrum, const Lobe& lobe) {
  constexpr double kFarOut = 40.0;
  constexpr double kTwoPi2 = 2.0 * std::numbers::pi * std::numbers::pi;
  const double cx = -std::sin(lobe.angle);  // across the bands
  const double cy = std::cos(lobe.angle);
  const double a = kTwoPi2 * lobe.across_sigma_px * lobe.across_sigma_px;
  const double b = kTwoPi2 * lobe.along_sigma_px * lobe.along_sigma_px;
  cv::Mat under = cv::Mat::zeros(spectrum.cols, spectrum.rows, CV_32FC2);
  for (int y = 0; y < spectrum.rows; ++y) {
    const double fy = frequency_of(y, spectrum.rows);
    const auto* row = spectrum.ptr<cv::Vec2f>(y);
    for (int x = 0; x < spectrum.cols; ++x) {
      const double fx = frequency_of(x, spectrum.cols);
      const double across = fx * cx + fy * cy - lobe.frequency;
      const double along = fx * cy - fy * cx;
      const double out = a * across * across + b * along * along;
      if (out < kFarOut) under.at<cv::Vec2f>(x, y) = row[x] * static_cast<float>(std::exp(-out));
    }
  }
  return under;
}

// Where it is looked: some rows of the picture and places in them.
struct Net {
  std::vector<int> rows;
  std::vector<std::vector<int>> columns;  // of each row
};

// Amplitude of the lobe's waves at the places of the net, row by row. The inverse transform goes down all
// columns, but along the rows of the net alone.
std::vector<double> amplitudes(const cv::Mat& spectrum, const Lobe& lobe, const Net& net) {
  cv::Mat by_column = under_lobe(spectrum, lobe);
  cv::Mat waves(static_cast<int>(net.rows.size()), spectrum.cols, CV_32FC2);
  for (int x = 0; x < by_column.rows; ++x) {
    cv::Mat column = by_column.row(x);
    if (cv::norm(column, cv::NORM_INF) > 0.0) cv::dft(column, column, cv::DFT_INVERSE);
    for (std::size_t i = 0; i < net.rows.size(); ++i)
      waves.at<cv::Vec2f>(static_cast<int>(i), x) = column.at<cv::Vec2f>(0, net.rows[i]);
  }
  cv::dft(waves, waves, cv::DFT_INVERSE | cv::DFT_ROWS);
  std::vector<double> sizes;
  for (std::size_t i = 0; i < net.rows.size(); ++i)
    for (const int x : net.columns[i])
      sizes.push_back(2.0 * cv::norm(waves.at<cv::Vec2f>(static_cast<int>(i), x)) /
                      static_cast<double>(spectrum.total()));
  return sizes;
}

BandCell cell_of(const std::array<double, kBandDirections>& sizes) {
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
  cv::Mat clear;
  const int side = 2 * static_cast<int>(std::lround(kClearOfBorderPeriods * period_px)) + 1;
  cv::erode(waves.known, clear, cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side}), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar(0));
  BandField field{.period_units = period_units, .step_units = kStepPeriods * period_units};
  const double step = field.step_units * waves.px_per_unit;
  Net net;
  for (double y = step / 2; y < clear.rows; y += step) {
    std::vector<int> columns;
    for (double x = step / 2; x < clear.cols; x += step)
      if (clear.at<std::uint8_t>(static_cast<int>(y), static_cast<int>(x)) != 0)
        columns.push_back(static_cast<int>(x));
    if (columns.empty()) continue;
    net.rows.push_back(static_cast<int>(y));
    net.columns.push_back(std::move(columns));
  }
  if (net.rows.empty()) return field;
  std::array<std::vector<double>, kBandDirections> sizes;
  for (int d = 0; d < kBandDirections; ++d)
    sizes[static_cast<std::size_t>(d)] = amplitudes(spectrum,
                                                    {.frequency = 1.0 / period_px,
                                                     .angle = band_angle(d),
                                                     .along_sigma_px = kAlongPeriods * period_px,
                                                     .across_sigma_px = kAcrossPeriods * period_px},
                                                    net);
  for (std::size_t i = 0; i < net.rows.size(); ++i)
    for (const int x : net.columns[i]) {
      std::array<double, kBandDirections> here{};
      for (std::size_t d = 0; d < here.size(); ++d) here[d] = sizes[d][field.cells.size()];
      BandCell cell = cell_of(here);
      cell.at_units = {(x + 0.5) / waves.px_per_unit, (net.rows[i] + 0.5) / waves.px_per_unit};
      field.cells.push_back(cell);
    }
  return field;
}

}  // namespace platewise
