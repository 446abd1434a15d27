#include "grain_map.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {

cv::Mat grain_map(const DensityImage& plate, const WorkingTone& working) {
  const cv::Mat laplacian = (cv::Mat_<float>(3, 3) << 1, -2, 1, -2, 4, -2, 1, -2, 1);
  cv::Mat curvature;
  cv::filter2D(plate.density, curvature, CV_32F, laplacian, {-1, -1}, 0, cv::BORDER_REPLICATE);
  const int block = std::max(8, static_cast<int>(std::lround(working.hundredth_px * working.shrink)));
  cv::Mat map((plate.rows() + block - 1) / block, (plate.cols() + block - 1) / block, CV_32FC1);
  std::vector<float> values;
  for (int row = 0; row < map.rows; ++row) {
    for (int col = 0; col < map.cols; ++col) {
      values.clear();
      for (int y = row * block; y < std::min(plate.rows(), (row + 1) * block); ++y) {
        for (int x = col * block; x < std::min(plate.cols(), (col + 1) * block); ++x) {
          const float value = curvature.at<float>(y, x);
          if (std::isfinite(value)) values.push_back(std::abs(value));
        }
      }
      map.at<float>(row, col) = static_cast<float>(quantile(values, 0.5) * 1.4826 / 6.0);
    }
  }
  cv::Mat grain;
  cv::resize(map, grain, working.tone.size(), 0, 0, cv::INTER_LINEAR);
  return grain;
}

}  // namespace platewise
