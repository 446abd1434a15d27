#include "apertures.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {

cv::Mat aperture_grid(const DensityImage& plate, const Mask& where, double side_units) {
  const double side_px = std::max(1.0, side_units * plate.px_per_unit);
  const cv::Size size(std::max(1, static_cast<int>(std::lround(plate.cols() / side_px))),
                      std::max(1, static_cast<int>(std::lround(plate.rows() / side_px))));
  const cv::Mat valid = (plate.density == plate.density) & where.inside;
  cv::Mat values = cv::Mat::zeros(plate.density.size(), CV_32FC1);
  plate.density.copyTo(values, valid);
  cv::Mat weights;
  valid.convertTo(weights, CV_32F, 1.0 / 255.0);

  cv::Mat sums;
  cv::Mat shares;
  cv::resize(values, sums, size, 0, 0, cv::INTER_AREA);
  cv::resize(weights, shares, size, 0, 0, cv::INTER_AREA);
  cv::Mat grid = sums / shares;
  grid.setTo(std::nan(""), shares < 0.5F);
  return grid;
}

Mask inset(const Mask& mask, int inset_px) {
  if (mask.empty() || inset_px <= 0) return mask;
  const int size = 2 * inset_px + 1;
  Mask inner;
  cv::erode(mask.inside, inner.inside, cv::Mat::ones(size, size, CV_8UC1), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar::all(0));
  return inner;
}

}  // namespace platewise
