#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "photo_light.h"
#include "platewise/density/flat_field.h"
#include "platewise/density/to_density.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr Quantity kBlankSheet{0.07, 0.04};     // white paper, common practice
constexpr Quantity kWhiteSurround{0.07, 0.06};  // scanner lid or paper, common practice
constexpr Quantity kOpenLight{0.0, 0.02};       // nothing between lamp and sensor
constexpr double kClipped = 0.97;               // linear luminance: the file cannot hold much lighter
constexpr double kClippedU = 0.08;              // how much lighter it may have been, in density
constexpr double kBareAreaMin_px = 150.0;
constexpr double kBareReadingU = 0.01;
constexpr int kBareInset_px = 3;  // the flow edge is blurred by scanner and film

// What is not picture: its density without any offset, and the density such a thing has.
struct Reference {
  Quantity measured;
  Quantity known;
};

double raw_density(double signal, const PlateDensity& plate) {
  return -std::log10(std::max(signal - plate.flare, 1e-4));
}

Reference paper(double luminance, double luminance_u, Quantity known, const PlateDensity& plate) {
  const double clipped_u = luminance > kClipped ? kClippedU : 0.0;
  const double u = std::log10(1.0 + luminance_u / std::max(luminance, 1e-4));
  return {{raw_density(luminance, plate), std::hypot(u, clipped_u)}, known};
}

void add_bare_support(std::vector<Reference>& references, const PlateDensity& plate, const Regions& regions,
                      const DensityOptions& options) {
  if (regions.bare.empty()) return;
  cv::Mat inner;
  const int size = 2 * kBareInset_px + 1;
  cv::erode(regions.bare.inside, inner, cv::Mat::ones(size, size, CV_8UC1), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar::all(0));
  if (cv::countNonZero(inner) < kBareAreaMin_px) return;
  std::vector<double> densities;
  for (int y = 0; y < inner.rows; ++y) {
    for (int x = 0; x < inner.cols; ++x) {
      const float density = plate.image.density.at<float>(y, x);
      if (inner.at<std::uint8_t>(y, x) != 0 && std::isfinite(density)) densities.push_back(density);
    }
  }
  if (densities.size() < static_cast<std::size_t>(kBareAreaMin_px)) return;
  references.push_back({{median(densities) - plate.errors.added, kBareReadingU},
                        default_support_density(options.kind, options.light, options.backing)});
}

}  // namespace

PlateDensity anchored(PlateDensity plate, const Scan& scan, const PlateOutline& outline,
                      const Regions& regions, const DensityOptions& options) {
  if (outline.photo && !options.flat) even_out_photo_light(plate, regions);
  if (plate.calibrated) return plate;
  const bool through = options.light == Light::transmitted;
  std::vector<Reference> references;
  const auto field = options.flat ? flat_field(*options.flat, scan) : Result<FlatField>{FlatField{}};
  if (options.flat && field) {
    references.push_back(paper(field->level, 0.0, through ? kOpenLight : kBlankSheet, plate));
  } else if (outline.surround_is_white && outline.surround_luminance) {
    references.push_back(paper(outline.surround_luminance->value, outline.surround_luminance->u,
                               through ? kOpenLight : kWhiteSurround, plate));
  }
  add_bare_support(references, plate, regions, options);

  for (auto reference : references) {
    reference.measured.value += plate.errors.added;
    const Pulled pulled = pulled_by(plate.errors, reference.measured, reference.known);
    plate.errors = pulled.errors;
    plate.image.density += pulled.shift;
    plate.lowest += pulled.shift;
    plate.highest += pulled.shift;
    plate.offset = {plate.errors.added, std::sqrt(plate.errors.covariance(0, 0))};
  }
  return plate;
}

}  // namespace platewise
