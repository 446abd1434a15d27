#include "border_doubt.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {

Quantity doubted_by_border(Quantity all, Quantity deep, double tail_in_band_share, double stays) {
  constexpr double kNearlyAll = 0.8;
  constexpr double kFar = 0.05;  // D; scenes end at the border too
  constexpr double kDoubtTaken = 0.5;
  const double move = std::abs(all.value - deep.value);
  if (tail_in_band_share >= kNearlyAll && move > kFar) return widened(deep, kDoubtTaken * move);
  return widened(all, stays * move);
}

double tail_in_band(const cv::Mat& grid, const cv::Mat& deep, double reading, int denser) {
  int beyond = 0;
  int in_band = 0;
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.cols; ++x) {
      const auto density = static_cast<double>(grid.at<float>(y, x));
      if (!std::isfinite(density) || denser * (density - reading) < 0.0) continue;
      ++beyond;
      in_band += std::isfinite(deep.at<float>(y, x)) ? 0 : 1;
    }
  }
  return beyond == 0 ? 0.0 : in_band / static_cast<double>(beyond);
}

double drop_below_rim(cv::Mat& grid, double rim_density, double silver_sign, double tolerance) {
  constexpr double kTooMany = 0.2;
  const cv::Mat finite = grid == grid;
  const cv::Mat below =
      silver_sign < 0.0 ? cv::Mat(grid > rim_density + tolerance) : cv::Mat(grid < rim_density - tolerance);
  const double share = cv::countNonZero(below & finite) / std::max(1.0, cv::countNonZero(finite) * 1.0);
  if (share > kTooMany) return share;
  cv::Mat blended;  // an aperture on the border sees some of both
  cv::dilate(below & finite, blended, cv::Mat::ones(3, 3, CV_8U));
  grid.setTo(std::nan(""), blended);
  return share;
}

}  // namespace platewise
