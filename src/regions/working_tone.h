#pragma once

#include <vector>

#include "platewise/core/plate.h"
#include "platewise/raster/image.h"

namespace platewise {

// The plate as the regions are sought in it: shrunk, freed of single specks, and signed so that more
// silver is always larger: tone = -density for a positive, +density for a negative. The bare support has the
// least tone of all; the rim lies a little above it, the picture above the rim.
// All lengths of this module are in hundredths of the long side, so that neither the resolution nor the
// plate's size matters.
struct WorkingTone {
  // One sigma of `smooth` against tone: in density the noise of a scan grows steeply toward the darks. Knots
  // of rising tone, linear between them, constant outside.
  struct NoiseKnot {
    double tone = 0.0;
    double sigma = 0.0;
  };

  cv::Mat tone;    // CV_32FC1, every pixel finite: missing ones take the nearest value
  cv::Mat smooth;  // tone averaged over a window of `step_px`
  cv::Mat
      texture;  // size of the deviation of `smooth` from the plane through its surroundings: grain and mottle
  cv::Mat valid;              // CV_8UC1, 255 where the density image has a value
  double hundredth_px = 1.0;  // working pixels per hundredth of the long side
  double shrink = 1.0;        // pixels of the density image per working pixel
  std::vector<NoiseKnot> noise;
  int step_px = 3;  // width of the bands on either side of an edge, in working pixels

  [[nodiscard]] int rows() const { return tone.rows; }
  [[nodiscard]] int cols() const { return tone.cols; }
  [[nodiscard]] int pixels(double hundredths) const;
  [[nodiscard]] double noise_at(double tone_value) const;
};

[[nodiscard]] WorkingTone working_tone(const DensityImage& plate, PlateKind kind);

// A mask of the working size brought back to the size of the density image, with smooth outlines.
[[nodiscard]] cv::Mat at_full_size(const cv::Mat& working_mask, const DensityImage& plate);

// Robust middle and spread (1.4826 times the median absolute deviation) of `values`, which it reorders.
struct MiddleAndSpread {
  double middle = 0.0;
  double spread = 0.0;
};
[[nodiscard]] MiddleAndSpread middle_and_spread(std::vector<float>& values);
[[nodiscard]] double quantile(std::vector<float>& values, double share);

}  // namespace platewise
