#include "noise.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

// A cubic blow-up of unit white noise loses variance; measured once for OpenCV's bicubic kernel (a = -0.75):
// the mean of the squared kernel over phases is 0.76 per axis.
constexpr double kCubicSigma = 0.76;

}  // namespace

cv::Mat white_noise(cv::Size size, Dice& dice) {
  cv::Mat noise(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y) {
    auto* row = noise.ptr<float>(y);
    for (int x = 0; x < size.width; ++x) row[x] = static_cast<float>(dice.normal());
  }
  return noise;
}

cv::Mat smooth_noise(cv::Size size, double cell_x_px, double cell_y_px, Dice& dice) {
  if (cell_x_px <= 1.0 && cell_y_px <= 1.0) return white_noise(size, dice);
  const double cell_x = std::max(1.0, cell_x_px);
  const double cell_y = std::max(1.0, cell_y_px);
  const cv::Size grid(static_cast<int>(std::ceil(size.width / cell_x)) + 4,
                      static_cast<int>(std::ceil(size.height / cell_y)) + 4);
  const cv::Mat coarse = white_noise(grid, dice);
  const double shift_x = 1.5 + dice.uniform();
  const double shift_y = 1.5 + dice.uniform();
  const cv::Mat grid_from_pixel =
      (cv::Mat_<double>(2, 3) << 1.0 / cell_x, 0.0, shift_x, 0.0, 1.0 / cell_y, shift_y);
  cv::Mat fine;
  cv::warpAffine(coarse, fine, grid_from_pixel, size, cv::INTER_CUBIC | cv::WARP_INVERSE_MAP,
                 cv::BORDER_REFLECT);
  return fine / kCubicSigma;
}

cv::Mat smooth_noise(cv::Size size, double cell_px, Dice& dice) {
  return smooth_noise(size, cell_px, cell_px, dice);
}

cv::Mat fractal_noise(cv::Size size, double largest_px, double smallest_px, double persistence, Dice& dice) {
  cv::Mat sum = cv::Mat::zeros(size, CV_32FC1);
  double strength = 1.0;
  double variance = 0.0;
  for (double cell = largest_px; cell >= smallest_px; cell /= 2.0) {
    sum += strength * smooth_noise(size, cell, dice);
    variance += strength * strength;
    strength *= persistence;
  }
  return variance > 0.0 ? cv::Mat(sum / std::sqrt(variance)) : sum;
}

std::vector<float> wandering(int length, double largest, double smallest, double persistence, Dice& dice) {
  const cv::Mat line = fractal_noise(cv::Size(length, 1), largest, smallest, persistence, dice);
  return {line.ptr<float>(0), line.ptr<float>(0) + length};
}

}  // namespace platewise
