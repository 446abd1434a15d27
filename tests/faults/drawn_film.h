#pragma once

#include <cstdint>
#include <opencv2/core.hpp>

#include "platewise/density/plate_density.h"
#include "platewise/faults/find_faults.h"
#include "platewise/regions/regions.h"

namespace platewise {

// A small plate of 50 x 62 mm with a dark rim of 5 mm and a plain picture, in density as of a positive, with
// white grain; tests draw on it. Whatever lightens takes density away.
struct DrawnFilm {
  static constexpr double kPxPerMm = 6.0;
  static constexpr double kWidthMm = 50.0;
  static constexpr double kHeightMm = 62.0;
  static constexpr double kRimMm = 5.0;

  PlateDensity plate;
  Regions regions;

  [[nodiscard]] Faults faults(const FaultsOptions& options = {}) const;  // as of a tintype
};

[[nodiscard]] DrawnFilm drawn_film(std::uint64_t seed, bool with_rim = true);

// Takes `lighter(x_mm, y_mm)` away from the density everywhere.
template <class Lighter>
void lighten(DrawnFilm& film, Lighter lighter) {
  cv::Mat& density = film.plate.image.density;
  for (int y = 0; y < density.rows; ++y) {
    for (int x = 0; x < density.cols; ++x)
      density.at<float>(y, x) -=
          static_cast<float>(lighter((x + 0.5) / DrawnFilm::kPxPerMm, (y + 0.5) / DrawnFilm::kPxPerMm));
  }
}

// Takes the film off where `gone` (CV_8UC1, size of the plate) is not 0: bare support, darker than the rim.
void take_film_off(DrawnFilm& film, const cv::Mat& gone);

[[nodiscard]] int count_of(const Faults& faults, std::string_view id);

}  // namespace platewise
