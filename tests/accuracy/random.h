#pragma once

#include <cstdint>
#include <opencv2/core.hpp>

namespace platewise::heldout {

// Numbers from a seed that are the same on every machine: SplitMix64 (Steele, Lea, Flood 2014) and plain
// arithmetic, because the standard library's distributions differ between implementations.
class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  [[nodiscard]] std::uint64_t bits();
  [[nodiscard]] double uniform();                         // [0, 1)
  [[nodiscard]] double uniform(double low, double high);  // [low, high)
  [[nodiscard]] double log_uniform(double low, double high);
  [[nodiscard]] double normal(double mean, double sigma);
  [[nodiscard]] int integer(int low, int high);  // both ends included
  [[nodiscard]] bool chance(double probability);
  [[nodiscard]] Random fork() { return Random(bits()); }  // an independent stream

 private:
  std::uint64_t state_;
};

// White noise: mean 0, sigma 1. CV_32FC1.
[[nodiscard]] cv::Mat white_noise(Random& random, cv::Size size);

// Poisson counts blurred to the clump size of silver, scaled to mean 0 and sigma 1. CV_32FC1.
[[nodiscard]] cv::Mat grain(Random& random, cv::Size size, double clump_px, double grains_per_px);

// Smooth noise of one scale in [-1, 1], about 0. CV_32FC1.
[[nodiscard]] cv::Mat smooth_noise(Random& random, cv::Size size, double cell_x_px, double cell_y_px);

// Sum of smooth noises, each finer and weaker by half than the one before. About [-1, 1].
[[nodiscard]] cv::Mat cloud(Random& random, cv::Size size, double cell_px, int octaves);

}  // namespace platewise::heldout
