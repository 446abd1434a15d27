#include "platewise/faults/evidence.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>
#include <utility>
#include <vector>

#include "picture_softness.h"
#include "platewise/core/in_order.h"
#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

// Windows that hold all places of a mask, small where they lie along the sides of the picture: of each band
// of rows what is to the left and to the right.
std::vector<cv::Rect> windows_of(const cv::Mat& mask, int band_px) {
  std::vector<cv::Rect> windows;
  const int middle = mask.cols / 2;
  for (int y = 0; y < mask.rows; y += band_px)
    for (const auto& [from, to] : {std::pair{0, middle}, std::pair{middle, mask.cols}}) {
      const cv::Rect half(from, y, to - from, std::min(band_px, mask.rows - y));
      const cv::Rect box = cv::boundingRect(mask(half));
      if (!box.empty()) windows.push_back(box + half.tl());
    }
  return windows;
}

// Means over squares of `size` pixels in these windows alone.
void box_means(const cv::Mat& picture, int size, const std::vector<cv::Rect>& windows, cv::Mat& means) {
  for (const cv::Rect& window : windows) {
    cv::Mat part = means(window);
    cv::boxFilter(picture(window), part, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  }
}

// Fills what is not film by growing the film's values outwards, so that filters see no edge there; pictures
// of one film together, since what is reached is the same for all.
void fill_outside(const std::vector<cv::Mat*>& pictures, const cv::Mat& inside) {
  if (cv::countNonZero(inside) == static_cast<int>(inside.total())) return;
  for (cv::Mat* picture : pictures) picture->setTo(0.0F, ~inside);
  cv::Mat unknown = ~inside;
  cv::Mat known;
  inside.convertTo(known, CV_32F, 1.0 / 255.0);
  cv::Mat weight = cv::Mat::zeros(inside.size(), CV_32FC1);
  for (int size = 5; size < 4 * std::max(inside.rows, inside.cols); size *= 3) {
    constexpr int kLeastBandPx = 64;
    const std::vector<cv::Rect> windows = windows_of(unknown, std::max(kLeastBandPx, size));
    box_means(known, size, windows, weight);
    const cv::Mat reached = (weight > 1e-6F) & unknown;
    if (cv::countNonZero(reached) == 0) continue;
    in_order(
        pictures.size(), static_cast<std::size_t>(cv::getNumThreads()),
        [&](std::size_t k) {
          cv::Mat& picture = *pictures[k];  // 0 where it is not known yet
          cv::Mat sum(picture.size(), CV_32FC1);
          box_means(picture, size, windows, sum);
          for (const cv::Rect& window : windows) {
            cv::Mat mean;
            cv::divide(sum(window), weight(window), mean);
            mean.copyTo(picture(window), reached(window));
          }
          return true;
        },
        [](bool, std::size_t) {});
    known.setTo(1.0F, reached);
    unknown.setTo(0, reached);
    if (cv::countNonZero(unknown) == 0) break;
  }
}

}  // namespace

Evidence gathered(const PlateDensity& plate, const Regions& regions, PlateKind kind, bool millimetres) {
  Evidence evidence;
  evidence.kind = kind;
  evidence.px_per_unit = plate.image.px_per_unit;
  evidence.millimetres = millimetres;
  evidence.regions = &regions;
  evidence.errors = &plate.errors;
  evidence.colour = plate.colour;
  const double sign = is_positive(kind) ? -1.0 : 1.0;
  const cv::Mat& density = plate.image.density;
  cv::Mat inside = regions.film.inside & (density == density);
  if (!regions.glare.empty()) inside &= ~regions.glare.inside;
  const cv::Mat whole = density == density;
  const cv::Mat& most = is_positive(kind) ? plate.lowest : plate.highest;
  const cv::Mat& least = is_positive(kind) ? plate.highest : plate.lowest;
  const auto silver_of = [&](const cv::Mat& values) -> cv::Mat {
    return values.empty() ? cv::Mat() : cv::Mat(sign * values);
  };
  evidence.silver = silver_of(density);
  evidence.plate_silver = silver_of(density);
  evidence.most_silver = silver_of(most);
  evidence.least_silver = silver_of(least);
  std::vector<cv::Mat*> of_film{&evidence.silver, &evidence.most_silver, &evidence.least_silver};
  std::erase_if(of_film, [](const cv::Mat* picture) { return picture->empty(); });
  fill_outside(of_film, inside);
  fill_outside({&evidence.plate_silver}, whole);
  if (evidence.most_silver.empty()) evidence.most_silver = evidence.silver;
  if (evidence.least_silver.empty()) evidence.least_silver = evidence.silver;
  // The film's ragged edge and the plate's own edge are no fault.
  constexpr double kEdgeMarginUnits = 1.0;
  const int margin = 2 * static_cast<int>(std::lround(kEdgeMarginUnits * evidence.px_per_unit)) + 1;
  const cv::Mat element = cv::getStructuringElement(cv::MORPH_RECT, {margin, margin});
  cv::erode(inside, evidence.film.inside, element, {-1, -1}, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
  evidence.grain = pixel_noise(evidence.silver, evidence.film);
  evidence.picture_edges = picture_edges(evidence);
  evidence.softness_px = sharpest_px(evidence.picture_edges);
  return evidence;
}

}  // namespace platewise
