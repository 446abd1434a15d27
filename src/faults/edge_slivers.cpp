#include "edge_slivers.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {

const cv::Mat& EdgeSlivers::as_empty_as(double silver) {
  constexpr double kSameTone = 0.004;
  constexpr double kRoundUnits = 0.8;
  const auto same = std::find_if(known_.begin(), known_.end(), [&](const auto& known) {
    return std::abs(known.first - silver) <= kSameTone;
  });
  if (same != known_.end()) return same->second;
  const int reach = static_cast<int>(std::lround(kRoundUnits * ground_->px_per_unit));
  cv::Mat slivers;
  cv::dilate((ground_->smooth <= silver) & ground_->border, slivers,
             cv::Mat::ones(2 * reach + 1, 2 * reach + 1, CV_8U));
  known_.emplace_back(silver, slivers);
  return known_.back().second;
}

}  // namespace platewise
