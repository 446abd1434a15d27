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

cv::Mat grown_by(const cv::Mat& mask, const cv::Mat& element) {
  const cv::Rect box = cv::boundingRect(mask);
  const cv::Rect window =
      cv::Rect(box.tl() - cv::Point(element.size()), box.br() + cv::Point(element.size())) &
      cv::Rect({}, mask.size());
  cv::Mat grown = cv::Mat::zeros(mask.size(), CV_8UC1);
  cv::Mat near = grown(window);
  if (!box.empty()) cv::dilate(mask(window), near, element);
  return grown;
}

}  // namespace platewise
