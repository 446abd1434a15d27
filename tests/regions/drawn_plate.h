#pragma once

#include <array>
#include <cstdint>

#include "platewise/core/plate.h"
#include "platewise/raster/image.h"

namespace platewise::test {

// A plate drawn for these tests only, simpler than the demo's and coded apart from it. Lengths are hundredths
// of the long side. Tones are silver over the bare support, in density.
struct DrawnPlate {
  PlateKind kind = PlateKind::tintype;
  int long_side_px = 900;
  double aspect = 0.78;                        // short side / long side, upright
  std::array<double, 4> rim = {4, 3, 5, 3.5};  // top, right, bottom, left; 0 = the picture runs to the edge
  double tilt_deg = 0.4;                       // of the opening
  double corner_radius = 5;
  double margin_fog = 0.06;                          // rim over bare support
  std::array<double, 4> bare_corner = {0, 0, 0, 0};  // TL, TR, BR, BL: reach along the sides
  double film_inset = 0.0;                           // mean
  double film_wander = 0.5;                          // of the film's edge round that, as a share of it
  double grain = 0.02;
  double scanner_noise = 0.006;
  bool dark_left = false;  // the scene is black along the left third of the picture
  std::uint64_t seed = 1;
};

struct DrawnTruth {
  DensityImage plate;
  cv::Mat bare;  // CV_8UC1
  cv::Mat rim;
  cv::Mat picture;
};

[[nodiscard]] DrawnTruth draw(const DrawnPlate& options);

// Something between a landscape and a still life: smooth tones, sharp shapes, fine texture. 0..1.
[[nodiscard]] cv::Mat drawn_scene(int width, int height, std::uint64_t seed);

// Intersection over union of two masks; 1 when both are empty.
[[nodiscard]] double overlap(const cv::Mat& a, const cv::Mat& b);
// Share of `part` that lies in `whole`; 1 when `part` is empty.
[[nodiscard]] double share_inside(const cv::Mat& part, const cv::Mat& whole);

}  // namespace platewise::test
