#include "border_turns.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise {

BorderTurns border_turns(const std::vector<cv::Point>& outline, const std::function<bool(cv::Point)>& part,
                         double px_per_unit) {
  constexpr double kSmoothUnits = 0.3;
  constexpr double kStepUnits = 0.7;
  constexpr double kLeastTurn = 0.3;  // rad
  const int half = std::max(1, static_cast<int>(std::lround(kSmoothUnits * px_per_unit)));
  const int step = std::max(2, static_cast<int>(std::lround(kStepUnits * px_per_unit)));
  const auto n = static_cast<int>(outline.size());
  BorderTurns turns;
  if (n < 4 * step) return turns;
  const auto smoothed = [&](int i) {
    cv::Point2d sum;
    for (int k = -half; k <= half; ++k)
      sum += cv::Point2d(outline[static_cast<std::size_t>((i + k + n) % n)]);
    return sum / (2.0 * half + 1.0);
  };
  double last_turn = 0.0;
  for (int i = 0; i < n; i += step) {
    if (!part(outline[static_cast<std::size_t>(i)])) continue;
    const cv::Point2d before = smoothed(i) - smoothed(i - step);
    const cv::Point2d after = smoothed(i + step) - smoothed(i);
    turns.length_units += cv::norm(after) / px_per_unit;
    const double turn = std::atan2(before.cross(after), before.dot(after));
    if (std::abs(turn) < kLeastTurn) continue;
    turns.to_and_fro += turn * last_turn < 0.0;
    last_turn = turn;
  }
  return turns;
}

int steep_bays(const std::vector<cv::Point>& outline, double px_per_unit) {
  constexpr double kLeastDepthUnits = 0.8;
  constexpr double kLeastSteepness = 0.25;  // of the depth to the width
  std::vector<int> hull;
  cv::convexHull(outline, hull);
  std::sort(hull.begin(), hull.end());
  std::vector<cv::Vec4i> defects;
  if (hull.size() > 3) cv::convexityDefects(outline, hull, defects);
  return static_cast<int>(std::count_if(defects.begin(), defects.end(), [&](const cv::Vec4i& defect) {
    const double depth = defect[3] / 256.0;
    const double width =
        cv::norm(outline[static_cast<std::size_t>(defect[0])] - outline[static_cast<std::size_t>(defect[1])]);
    return depth >= kLeastDepthUnits * px_per_unit && depth >= kLeastSteepness * width;
  }));
}

}  // namespace platewise
