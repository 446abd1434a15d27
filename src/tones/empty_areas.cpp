#include "empty_areas.h"

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

constexpr double kGrainSigmas = 2.0;    // the contract's
constexpr double kTimesNoise = 1.5;     // the spread of 9 noisy values exceeds this in a few per cent
constexpr double kLeastSpread = 0.004;  // density nobody sees

}  // namespace

double empty_fraction(const cv::Mat& grid, double end, int beyond, double grain, double aperture_noise) {
  const cv::Mat valid = grid == grid;
  const int inside = cv::countNonZero(valid);
  if (inside == 0) return 0.0;
  const cv::Mat mean = aperture_mean(grid, 3);
  const cv::Mat mean2 = aperture_mean(grid.mul(grid), 3);
  cv::Mat variance = mean2 - mean.mul(mean);
  const double spread = std::hypot(kTimesNoise * aperture_noise, kLeastSpread);
  const double reach = kGrainSigmas * grain;
  const cv::Mat at_end = beyond > 0 ? cv::Mat(grid >= end - reach) : cv::Mat(grid <= end + reach);
  const cv::Mat empty = at_end & (variance <= spread * spread) & valid;
  return cv::countNonZero(empty) / static_cast<double>(inside);
}

}  // namespace platewise
