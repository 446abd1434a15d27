#include "platewise/density/flat_field.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kProportionsTolerance = 0.02;
constexpr double kDarkestSheet = 0.1;  // linear luminance: a sheet of D 1 is not blank
constexpr int kSmoothedLongSide = 300;
constexpr double kBlurShareOfLongSide = 0.02;  // light varies slowly, dust and fibres do not

cv::Mat smoothed(const cv::Mat& luminance) {
  const double factor =
      std::min(1.0, static_cast<double>(kSmoothedLongSide) / std::max(luminance.rows, luminance.cols));
  cv::Mat small;
  cv::resize(luminance, small, {}, factor, factor, cv::INTER_AREA);
  cv::medianBlur(small, small, 5);
  const double sigma = std::max(1.0, kBlurShareOfLongSide * std::max(small.rows, small.cols));
  cv::GaussianBlur(small, small, {}, sigma, sigma, cv::BORDER_REPLICATE);
  return small;
}

}  // namespace

Result<FlatField> flat_field(const Scan& flat, const Scan& scan) {
  const std::string where = flat.path.string();
  const double proportions = static_cast<double>(flat.width_px) / flat.height_px;
  const double wanted = static_cast<double>(scan.width_px) / scan.height_px;
  if (std::abs(proportions / wanted - 1.0) > kProportionsTolerance) {
    return failure(where, "the blank sheet's frame has other proportions than the scan's",
                   "scan the sheet with the same frame as the plate");
  }
  const cv::Mat small = smoothed(flat.image.luminance);
  const std::vector<float> values(small.begin<float>(), small.end<float>());
  FlatField field;
  field.level = median(std::vector<double>(values.begin(), values.end()));
  if (field.level < kDarkestSheet) {
    return failure(where, "the blank sheet is dark", "scan a white sheet in the same light as the plate");
  }
  cv::resize(small, field.relative, scan.image.luminance.size(), 0, 0, cv::INTER_LINEAR);
  field.relative /= field.level;
  cv::max(field.relative, kDarkestSheet, field.relative);
  return field;
}

}  // namespace platewise
