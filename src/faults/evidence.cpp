#include "platewise/faults/evidence.h"

#include <array>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>

#include "picture_softness.h"
#include "platewise/core/in_order.h"
#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

// Fills what is not film by growing the film's values outwards, so that filters see no edge there.
cv::Mat filled_outside(const cv::Mat& values, const cv::Mat& inside) {
  cv::Mat result = values.clone();
  result.setTo(0.0F, ~inside);
  cv::Mat known;
  inside.convertTo(known, CV_32F, 1.0 / 255.0);
  for (int size = 5; size < 4 * std::max(values.rows, values.cols); size *= 3) {
    cv::Mat sum;
    cv::Mat weight;
    cv::boxFilter(result.mul(known), sum, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
    cv::boxFilter(known, weight, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
    const cv::Mat reached = (weight > 1e-6F) & (known == 0.0F);
    if (cv::countNonZero(reached) == 0) continue;
    cv::Mat mean;
    cv::divide(sum, weight, mean);
    mean.copyTo(result, reached);
    known.setTo(1.0F, reached);
    if (cv::countNonZero(known == 0.0F) == 0) break;
  }
  return result;
}

}  // namespace

Evidence gathered(const PlateDensity& plate, const Regions& regions, PlateKind kind, bool millimetres) {
  Evidence evidence;
  evidence.kind = kind;
  evidence.px_per_unit = plate.image.px_per_unit;
  evidence.millimetres = millimetres;
  evidence.regions = &regions;
  evidence.errors = &plate.errors;
  const double sign = is_positive(kind) ? -1.0 : 1.0;
  const cv::Mat& density = plate.image.density;
  cv::Mat inside = regions.film.inside & (density == density);
  if (!regions.glare.empty()) inside &= ~regions.glare.inside;
  const cv::Mat whole = density == density;
  const cv::Mat& most = is_positive(kind) ? plate.lowest : plate.highest;
  const cv::Mat& least = is_positive(kind) ? plate.highest : plate.lowest;
  struct Filled {
    const cv::Mat& values;
    const cv::Mat& inside;
    cv::Mat& target;
  };
  const std::array pictures{
      Filled{density, inside, evidence.silver}, Filled{density, whole, evidence.plate_silver},
      Filled{most, inside, evidence.most_silver}, Filled{least, inside, evidence.least_silver}};
  in_order(
      pictures.size(), static_cast<std::size_t>(cv::getNumThreads()),
      [&](std::size_t k) {
        const Filled& picture = pictures[k];
        return picture.values.empty() ? cv::Mat() : filled_outside(sign * picture.values, picture.inside);
      },
      [&](const cv::Mat& filled, std::size_t k) { pictures[k].target = filled; });
  if (evidence.most_silver.empty()) evidence.most_silver = evidence.silver;
  if (evidence.least_silver.empty()) evidence.least_silver = evidence.silver;
  // The film's ragged edge and the plate's own edge are no fault.
  constexpr double kEdgeMarginUnits = 1.0;
  const int margin = 2 * static_cast<int>(std::lround(kEdgeMarginUnits * evidence.px_per_unit)) + 1;
  const cv::Mat element = cv::getStructuringElement(cv::MORPH_RECT, {margin, margin});
  cv::erode(inside, evidence.film.inside, element, {-1, -1}, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
  evidence.grain = pixel_noise(evidence.silver, evidence.film);
  evidence.softness_px = picture_softness_px(evidence);
  return evidence;
}

}  // namespace platewise
