#include "drawn_film.h"

#include <algorithm>

#include "platewise/stats/random.h"

namespace platewise {
namespace {

constexpr double kRimDensity = 1.25;
constexpr double kPictureDensity = 1.0;
constexpr double kSupportDensity = 1.4;

}  // namespace

Faults DrawnFilm::faults(const FaultsOptions& options) const {
  return find_faults(plate, regions, options);
}

DrawnFilm drawn_film(std::uint64_t seed, bool with_rim) {
  constexpr double kK = DrawnFilm::kPxPerMm;
  constexpr double kGrain = 0.01;
  const cv::Size size(static_cast<int>(DrawnFilm::kWidthMm * kK),
                      static_cast<int>(DrawnFilm::kHeightMm * kK));
  const int rim = with_rim ? static_cast<int>(DrawnFilm::kRimMm * kK) : 0;
  const cv::Rect opening(rim, rim, size.width - 2 * rim, size.height - 2 * rim);
  DrawnFilm film;
  cv::Mat density(size, CV_32FC1, cv::Scalar(kRimDensity));
  density(opening).setTo(kPictureDensity);
  Random random(seed);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x)
      density.at<float>(y, x) += static_cast<float>(random.normal(0.0, kGrain));
  }
  film.plate.image = {density, kK};
  film.plate.lowest = density;  // share the pixels, so that drawing changes all three
  film.plate.highest = density;
  const cv::Mat all(size, CV_8UC1, cv::Scalar(255));
  film.regions.plate.inside = all;
  film.regions.film.inside = all.clone();
  film.regions.bare.inside = cv::Mat::zeros(size, CV_8UC1);
  film.regions.picture.inside = cv::Mat::zeros(size, CV_8UC1);
  film.regions.picture.inside(opening).setTo(255);
  film.regions.rim.inside = all & ~film.regions.picture.inside;
  if (with_rim) {
    const double x1 = DrawnFilm::kWidthMm - DrawnFilm::kRimMm;
    const double y1 = DrawnFilm::kHeightMm - DrawnFilm::kRimMm;
    film.regions.image_area_units = Polygon{
        {DrawnFilm::kRimMm, DrawnFilm::kRimMm}, {x1, DrawnFilm::kRimMm}, {x1, y1}, {DrawnFilm::kRimMm, y1}};
  }
  return film;
}

void take_film_off(DrawnFilm& film, const cv::Mat& gone) {
  cv::Mat& density = film.plate.image.density;
  cv::add(density, cv::Scalar(kSupportDensity - kPictureDensity), density,
          gone & film.regions.picture.inside);
  cv::add(density, cv::Scalar(kSupportDensity - kRimDensity), density, gone & film.regions.rim.inside);
  film.regions.film.inside.setTo(0, gone);
  film.regions.bare.inside.setTo(255, gone);
}

int count_of(const Faults& faults, std::string_view id) {
  return static_cast<int>(std::count_if(faults.found.begin(), faults.found.end(),
                                        [&](const Fault& fault) { return fault.id == id; }));
}

}  // namespace platewise
