#include "specks.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kSurroundings = 11;         // apertures: about 4.6 mm
constexpr double kTimesRoughness = 5.0;   // of the mean absolute departure around
constexpr float kLeastDeparture = 0.03F;  // density: smaller specks move no percentile
constexpr double kCrowdedShare = 0.08;    // more departures than this around are scene, not specks

// Median over 5 x 5 apertures; those without a value take the middle tone so that they neither raise nor
// lower.
cv::Mat local_median(const cv::Mat& grid, const cv::Mat& valid) {
  std::vector<double> values;
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.cols; ++x) {
      if (valid.at<std::uint8_t>(y, x) != 0) values.push_back(grid.at<float>(y, x));
    }
  }
  cv::Mat filled = grid.clone();
  filled.setTo(values.empty() ? 0.0 : median(values), ~valid);
  // Near the border the nearest picture, not the middle tone, is the surroundings.
  cv::Mat mean = aperture_mean(grid, 5);
  cv::Mat near = (mean == mean) & ~valid;
  mean.copyTo(filled, near);
  cv::medianBlur(filled, filled, 5);
  return filled;
}

}  // namespace

cv::Mat speck_apertures(const cv::Mat& grid) {
  const cv::Mat valid = grid == grid;
  cv::Mat departure = cv::abs(grid - local_median(grid, valid));
  departure.setTo(0.0F, ~valid);

  cv::Mat bounded;
  cv::min(departure, 2.0F * kLeastDeparture, bounded);
  cv::Mat share;
  valid.convertTo(share, CV_32F, 1.0 / 255.0);
  const cv::Size around(kSurroundings, kSurroundings);
  cv::boxFilter(bounded, bounded, CV_32F, around, {-1, -1}, true, cv::BORDER_REPLICATE);
  cv::boxFilter(share, share, CV_32F, around, {-1, -1}, true, cv::BORDER_REPLICATE);
  cv::max(share, 1.0F / (kSurroundings * kSurroundings), share);
  cv::Mat limit = bounded / share * kTimesRoughness;
  cv::max(limit, kLeastDeparture, limit);

  cv::Mat departs = (departure > limit) & valid;
  cv::Mat crowd;
  departs.convertTo(crowd, CV_32F, 1.0 / 255.0);
  cv::boxFilter(crowd, crowd, CV_32F, around, {-1, -1}, true, cv::BORDER_REPLICATE);
  return departs & (crowd < kCrowdedShare);
}

}  // namespace platewise
