#include "plate_masks.h"

#include <cstring>
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

cv::Mat every_second(const cv::Mat& picture, cv::Point first) {
  cv::Mat second((picture.rows - first.y + 1) / 2, (picture.cols - first.x + 1) / 2, picture.type());
  const std::size_t size = picture.elemSize();
  for (int y = 0; y < second.rows; ++y) {
    const std::uint8_t* from = picture.ptr(2 * y + first.y, first.x);
    std::uint8_t* to = second.ptr(y);
    if (size == sizeof(float))
      for (int x = 0; x < second.cols; ++x) std::memcpy(to + 4 * x, from + 8 * x, sizeof(float));
    else
      for (int x = 0; x < second.cols; ++x) to[x] = from[2 * x];
  }
  return second;
}

}  // namespace platewise
