#pragma once

#include <functional>
#include <opencv2/core.hpp>
#include <random>

#include "platewise/density/plate_density.h"
#include "platewise/regions/regions.h"
#include "platewise/tones/measure_tones.h"

namespace platewise {

// A plate of 40 x 30 mm at 12 px/mm with all four regions known: 3 mm of bare support at the left, 3 mm of
// rim on the other sides, the picture inside. Tintype tones unless told otherwise.
struct DrawnPlate {
  double support = 1.35;
  double margin = 1.32;
  std::function<double(double x_mm, double y_mm)> picture = [](double x_mm, double) {
    return 1.25 - 0.02 * x_mm;
  };
  double grain = 0.015;
  unsigned seed = 7;

  PlateDensity density;
  Regions regions;

  static constexpr double kPxPerMm = 12.0;
  static constexpr double kWidth_mm = 40.0;
  static constexpr double kHeight_mm = 30.0;
  static constexpr double kBorder_mm = 3.0;

  static cv::Mat rectangle_mask(double x, double y, double width, double height) {
    const auto px = [](double mm) { return static_cast<int>(mm * kPxPerMm); };
    cv::Mat mask = cv::Mat::zeros(px(kHeight_mm), px(kWidth_mm), CV_8UC1);
    mask(cv::Rect(px(x), px(y), px(width), px(height))) = 255;
    return mask;
  }

  DrawnPlate& draw() {
    regions.plate.inside = rectangle_mask(0, 0, kWidth_mm, kHeight_mm);
    regions.bare.inside = rectangle_mask(0, 0, kBorder_mm, kHeight_mm);
    regions.picture.inside =
        rectangle_mask(kBorder_mm, kBorder_mm, kWidth_mm - 2 * kBorder_mm, kHeight_mm - 2 * kBorder_mm);
    regions.film.inside = regions.plate.inside & ~regions.bare.inside;
    regions.rim.inside = regions.film.inside & ~regions.picture.inside;
    regions.grain_density = grain;
    density.image.px_per_unit = kPxPerMm;
    density.image.density.create(regions.plate.inside.size(), CV_32FC1);
    std::mt19937 random(seed);
    std::normal_distribution<double> gauss;
    for (int y = 0; y < density.image.rows(); ++y) {
      for (int x = 0; x < density.image.cols(); ++x) {
        const bool bare = regions.bare.inside.at<std::uint8_t>(y, x) != 0;
        const bool rim = regions.rim.inside.at<std::uint8_t>(y, x) != 0;
        const double even = bare ? support : margin;
        const double clean = bare || rim ? even : picture((x + 0.5) / kPxPerMm, (y + 0.5) / kPxPerMm);
        density.image.density.at<float>(y, x) =
            static_cast<float>(clean + (bare ? 0.1 : 1.0) * grain * gauss(random));
      }
    }
    return *this;
  }

  [[nodiscard]] Tones tones(const TonesOptions& options = {.default_support = {1.35, 0.15}}) const {
    return measure_tones(density, regions, options);
  }
};

}  // namespace platewise
