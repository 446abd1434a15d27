#include "plate_masks.h"

#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"

namespace platewise {

cv::Mat holder_opening_of(const Evidence& evidence) {
  const auto& area = evidence.regions->image_area_units;
  if (!area) return {};
  return filled({*area}, {.density = evidence.plate_silver, .px_per_unit = evidence.px_per_unit}).inside;
}

cv::Mat distance_within(const cv::Mat& mask) {
  cv::Mat framed;
  cv::copyMakeBorder(mask, framed, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::Mat distance;
  cv::distanceTransform(framed, distance, cv::DIST_L2, 3);
  return distance(cv::Rect({1, 1}, mask.size())).clone();
}

}  // namespace platewise
