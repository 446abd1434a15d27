#include "plate_within.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>

#include "platewise/raster/sampling.h"
#include "platewise/regions/find_regions.h"

namespace platewise {

double evidence_within(const LinearImage& image, const Quad& corners_working_px) {
  constexpr double kEvidencePixels = 4e5;
  constexpr float kBlack = 1e-4F;  // a density of 4: below any scanner's black
  const double shrink = std::max(1.0, std::sqrt(area(corners_working_px) / kEvidencePixels));
  const int width = std::max(1, static_cast<int>(0.5 *
                                                 (distance(corners_working_px[0], corners_working_px[1]) +
                                                  distance(corners_working_px[3], corners_working_px[2])) /
                                                 shrink));
  const int height = std::max(1, static_cast<int>(0.5 *
                                                  (distance(corners_working_px[0], corners_working_px[3]) +
                                                   distance(corners_working_px[1], corners_working_px[2])) /
                                                  shrink));
  const Homography source_from_target = target_from_source(rectangle(width, height), corners_working_px);
  cv::Mat light = cv::max(resampled(image.luminance, source_from_target, width, height), kBlack);
  DensityImage frame;
  cv::log(light, frame.density);
  frame.density *= -1.0 / std::log(10.0);
  frame.px_per_unit = std::max(width, height) / 100.0;
  return std::max(plate_evidence(frame, PlateKind::tintype), plate_evidence(frame, PlateKind::negative));
}

}  // namespace platewise
