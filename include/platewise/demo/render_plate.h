#pragma once

#include "platewise/demo/plate_options.h"
#include "platewise/demo/truth.h"
#include "platewise/raster/image.h"
#include "platewise/write/write_picture.h"

namespace platewise {

// A scan or photo of an invented plate, the truth about it, and how its file is to be written.
struct PlateRendering {
  cv::Mat pixels;  // CV_8UC1/C3 or CV_16UC1/C3, R,G,B order
  PictureFormat format;
  PlateTruth truth;

  // The plate itself in its own frame (px_per_unit pixels per mm), before grain, faults and scanner.
  DensityImage clean_density;   // NaN off the plate
  DensityImage spoilt_density;  // the same with the faults
  Mask poured;                  // where the collodion flowed, before any fault tore it
  Mask film;
  Mask picture;  // covered picture inside the opening, without faults: where the true tones are taken
  Mask faulty;   // everything a fault or speck changed
};

// Draws the scene, exposes and develops the plate, spoils it as asked, and scans it. Deterministic.
[[nodiscard]] PlateRendering render_plate(const PlateOptions& options);

// A blank sheet (density 0.07) photographed in the same light and framing, for --flat.
[[nodiscard]] cv::Mat render_blank_sheet(const PlateOptions& options);

}  // namespace platewise
