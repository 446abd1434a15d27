#include "flow_picture.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kPxPerUnit = 4.0;
constexpr double kShadowUnits = 1.0;  // of the holder's edge, beyond the margin that `film` keeps

}  // namespace

FlowPicture flow_picture(const Evidence& evidence, bool turned) {
  FlowPicture picture;
  picture.turned = turned;
  const double scale = std::min(1.0, kPxPerUnit / evidence.px_per_unit);
  picture.px_per_unit = scale * evidence.px_per_unit;
  const cv::Size size(std::max(1, static_cast<int>(std::lround(evidence.silver.cols * scale))),
                      std::max(1, static_cast<int>(std::lround(evidence.silver.rows * scale))));
  constexpr double kPerBlock = 12.0;  // grain is clumped: fewer than its pixels count in a mean
  picture.grain = evidence.grain / kPerBlock;
  cv::resize(evidence.silver, picture.silver, size, 0, 0, cv::INTER_AREA);
  cv::Mat inside;
  cv::resize(evidence.film.inside & evidence.regions->picture.inside, inside, size, 0, 0, cv::INTER_AREA);
  inside = inside > 250;
  const int side = 2 * static_cast<int>(std::lround(kShadowUnits * picture.px_per_unit)) + 1;
  cv::erode(inside, picture.known, cv::Mat::ones(side, side, CV_8UC1), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar(0));
  std::vector<double> values;
  for (int y = 0; y < size.height; y += 3)
    for (int x = 0; x < size.width; x += 3)
      if (picture.known.at<std::uint8_t>(y, x) != 0) values.push_back(picture.silver.at<float>(y, x));
  if (!values.empty()) picture.floor = quantile(values, 0.01);
  if (turned) {
    cv::transpose(picture.silver, picture.silver);
    cv::transpose(picture.known, picture.known);
  }
  return picture;
}

}  // namespace platewise
