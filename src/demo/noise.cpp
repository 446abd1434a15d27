#include "noise.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {
namespace {

// A cubic blow-up of unit white noise loses variance; measured once for OpenCV's bicubic kernel (a = -0.75):
// the mean of the squared kernel over phases is 0.76 per axis.
constexpr double kCubicSigma = 0.76;
constexpr double kPixelsPerBlob = 4.0;  // enough for a cubic to draw it smoothly

cv::Size shrunk(cv::Size size, double by_x, double by_y) {
  return {std::max(1, static_cast<int>(std::ceil(size.width / by_x))),
          std::max(1, static_cast<int>(std::ceil(size.height / by_y)))};
}

cv::Mat blown_up(cv::Size size, double cell_x, double cell_y, Dice& dice) {
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
  // Blobs much wider than a pixel are drawn small and blown up.
  const double shrink_x = std::max(1.0, cell_x_px / kPixelsPerBlob);
  const double shrink_y = std::max(1.0, cell_y_px / kPixelsPerBlob);
  const cv::Size small = shrunk(size, shrink_x, shrink_y);
  cv::Mat noise =
      blown_up(small, std::max(1.0, cell_x_px / shrink_x), std::max(1.0, cell_y_px / shrink_y), dice);
  if (small != size) cv::resize(noise, noise, size, 0.0, 0.0, cv::INTER_CUBIC);
  return noise;
}

cv::Mat smooth_noise(cv::Size size, double cell_px, Dice& dice) {
  return smooth_noise(size, cell_px, cell_px, dice);
}

cv::Mat fractal_noise(cv::Size size, double largest_px, double smallest_px, double persistence, Dice& dice) {
  cv::Mat sum;
  double strength = 1.0;
  double variance = 0.0;
  for (double cell = largest_px; cell >= smallest_px || sum.empty(); cell /= 2.0) {
    const double shrink = std::max(1.0, cell / kPixelsPerBlob);
    const cv::Size small = shrunk(size, shrink, shrink);
    const cv::Mat octave = smooth_noise(small, cell / shrink, dice);
    if (sum.empty()) {
      sum = strength * octave;
    } else {
      if (sum.size() != small) cv::resize(sum, sum, small, 0.0, 0.0, cv::INTER_CUBIC);
      cv::scaleAdd(octave, strength, sum, sum);
    }
    variance += strength * strength;
    strength *= persistence;
  }
  if (sum.size() != size) cv::resize(sum, sum, size, 0.0, 0.0, cv::INTER_CUBIC);
  return sum / std::sqrt(variance);
}

cv::Mat blurred(const cv::Mat& picture, double sigma_px) {
  constexpr double kSigmaKept = 2.5;  // px of the shrunk picture
  cv::Mat soft;
  const double shrink = std::floor(sigma_px / kSigmaKept);
  if (shrink < 2.0) {
    cv::GaussianBlur(picture, soft, {}, std::max(0.1, sigma_px));
    return soft;
  }
  cv::resize(picture, soft, shrunk(picture.size(), shrink, shrink), 0.0, 0.0, cv::INTER_AREA);
  cv::GaussianBlur(soft, soft, {}, sigma_px / shrink);
  cv::resize(soft, soft, picture.size(), 0.0, 0.0, cv::INTER_LINEAR);
  return soft;
}

std::vector<float> wandering(int length, double largest, double smallest, double persistence, Dice& dice) {
  const cv::Mat line = fractal_noise(cv::Size(length, 1), largest, smallest, persistence, dice);
  return {line.ptr<float>(0), line.ptr<float>(0) + length};
}

}  // namespace platewise
