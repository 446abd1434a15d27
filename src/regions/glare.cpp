#include "glare.h"

#include <opencv2/imgproc.hpp>

namespace platewise {

cv::Mat glare_spots(const WorkingTone& working, const cv::Mat& plate) {
  (void)working;
  return cv::Mat::zeros(plate.size(), CV_8UC1);
}

}  // namespace platewise
