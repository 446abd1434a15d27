#include "accuracy/random.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {

std::uint64_t Random::bits() {
  state_ += 0x9e3779b97f4a7c15ULL;
  std::uint64_t z = state_;
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

double Random::uniform() {
  return static_cast<double>(bits() >> 11U) * 0x1.0p-53;
}

double Random::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

double Random::log_uniform(double low, double high) {
  return std::exp(uniform(std::log(low), std::log(high)));
}

double Random::normal(double mean, double sigma) {
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
  return mean + sigma * radius * std::cos(2.0 * std::numbers::pi * uniform());
}

int Random::integer(int low, int high) {
  return low + static_cast<int>(bits() % static_cast<std::uint64_t>(high - low + 1));
}

bool Random::chance(double probability) {
  return uniform() < probability;
}

cv::Mat white_noise(Random& random, cv::Size size) {
  cv::RNG generator(random.bits());
  cv::Mat noise(size, CV_32FC1);
  generator.fill(noise, cv::RNG::NORMAL, 0.0, 1.0);
  return noise;
}

namespace {

constexpr int kPoissonTable = 4096;

// The count at each of 4096 evenly spaced quantiles of a Poisson law.
std::array<float, kPoissonTable> poisson_quantiles(double mean) {
  std::array<float, kPoissonTable> table{};
  int count = 0;
  double probability = std::exp(-mean);
  double cumulative = probability;
  for (int i = 0; i < kPoissonTable; ++i) {
    while (cumulative < (i + 0.5) / kPoissonTable && count < 1000) {
      ++count;
      probability *= mean / count;
      cumulative += probability;
    }
    table[static_cast<std::size_t>(i)] = static_cast<float>(count);
  }
  return table;
}

}  // namespace

cv::Mat grain(Random& random, cv::Size size, double clump_px, double grains_per_px) {
  const auto table = poisson_quantiles(grains_per_px);
  cv::RNG generator(random.bits());
  cv::Mat index(size, CV_16UC1);
  generator.fill(index, cv::RNG::UNIFORM, 0, kPoissonTable);
  cv::Mat counts(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y) {
    const auto* from = index.ptr<std::uint16_t>(y);
    auto* to = counts.ptr<float>(y);
    for (int x = 0; x < size.width; ++x) to[x] = table[from[x]];
  }
  cv::GaussianBlur(counts, counts, {}, clump_px);
  cv::Scalar mean;
  cv::Scalar sigma;
  cv::meanStdDev(counts, mean, sigma);
  return (counts - mean[0]) / std::max(sigma[0], 1e-9);
}

cv::Mat smooth_noise(Random& random, cv::Size size, double cell_x_px, double cell_y_px) {
  const int columns = std::max(2, static_cast<int>(std::ceil(size.width / cell_x_px)) + 3);
  const int rows = std::max(2, static_cast<int>(std::ceil(size.height / cell_y_px)) + 3);
  cv::RNG generator(random.bits());
  cv::Mat knots(rows, columns, CV_32FC1);
  generator.fill(knots, cv::RNG::UNIFORM, -1.0, 1.0);
  cv::Mat wide;
  cv::resize(knots, wide, {static_cast<int>(columns * cell_x_px) + 1, static_cast<int>(rows * cell_y_px) + 1},
             0, 0, cv::INTER_CUBIC);
  const int left = std::min(static_cast<int>(cell_x_px), wide.cols - size.width);
  const int top = std::min(static_cast<int>(cell_y_px), wide.rows - size.height);
  return wide(cv::Rect(std::max(0, left), std::max(0, top), size.width, size.height)).clone();
}

cv::Mat cloud(Random& random, cv::Size size, double cell_px, int octaves) {
  cv::Mat sum = cv::Mat::zeros(size, CV_32FC1);
  double weight = 0.6;
  for (int i = 0; i < octaves && cell_px >= 1.0; ++i) {
    sum += weight * smooth_noise(random, size, cell_px, cell_px);
    weight /= 2.0;
    cell_px /= 2.1;
  }
  return sum;
}

}  // namespace platewise::heldout
