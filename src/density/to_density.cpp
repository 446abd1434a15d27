#include "platewise/density/to_density.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/density/device_fit.h"
#include "platewise/density/flat_field.h"
#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"
#include "signal_density.h"

namespace platewise {
namespace {

constexpr double kRelativePxPerUnitMax = 16.0;  // plates without a scale: 1600 px along the long side
constexpr double kAperturePx = 5.0;             // the contract's 5 x 5 pixels
// A scanner's exposure and stray light drift a little after its wedge was scanned (common practice).
constexpr double kDriftOffset = 0.005;
constexpr double kDriftFlare = 0.0005;
// Calibrated densities stand on the wedge's own scale (the contract's definition), so of `material_u` only
// what changes from plate to plate is left: an error of the scale, a sixth of it per unit of density
// (assumed).
constexpr double kMaterialSlopeShare = 1.0 / 6.0;
// An 8-bit code is rounded, and compression moves an even area as a whole by a part of a code.
constexpr double kEightBitCodeU = 0.3 / 255.0;
constexpr double kPhotoPlaceU = 0.04;  // a lamp or window lights a plate unevenly (common practice)
constexpr double kOutsideShareWarned = 0.005;
constexpr double kDensityPxPerColourPx = 4.0;  // JPEG keeps colour at half the resolution or less

struct PlateGrid {
  Homography working_from_plate_px;
  int width = 0;
  int height = 0;
  double px_per_unit = 1.0;
  double shrink = 1.0;  // working pixels per plate pixel
};

Homography scaled(double factor) {
  Homography map;
  map.matrix.diagonal() << factor, factor, 1.0;
  return map;
}

PlateGrid plate_grid(const Scan& scan, const PlateOutline& outline, double px_per_mm) {
  Quad corners = outline.corners_px;
  for (auto& corner : corners) corner = (1.0 / scan.scan_px_per_working_px) * corner;
  const double plate_area = outline.scale.width_units * outline.scale.height_units;
  const double working_px_per_unit = std::sqrt(area(corners) / plate_area);
  const double wanted = outline.scale.millimetres ? px_per_mm : kRelativePxPerUnitMax;

  PlateGrid grid;
  grid.px_per_unit = std::min(wanted, working_px_per_unit);
  grid.width = std::max(1, static_cast<int>(std::lround(outline.scale.width_units * grid.px_per_unit)));
  grid.height = std::max(1, static_cast<int>(std::lround(outline.scale.height_units * grid.px_per_unit)));
  grid.shrink = working_px_per_unit / grid.px_per_unit;
  grid.working_from_plate_px.matrix =
      target_from_source(rectangle(outline.scale.width_units, outline.scale.height_units), corners).matrix *
      scaled(1.0 / grid.px_per_unit).matrix;
  return grid;
}

// The greatest (or least) value within reach of each plate pixel: averaging would lose the specks.
cv::Mat extreme(const cv::Mat& source, const PlateGrid& grid, bool greatest) {
  cv::Mat spread = source;
  const int reach = static_cast<int>(std::lround(grid.shrink));
  if (reach > 1) {
    const cv::Mat aperture = cv::Mat::ones(reach, reach, CV_8UC1);
    if (greatest) cv::dilate(source, spread, aperture);
    if (!greatest) cv::erode(source, spread, aperture);
  }
  // Continuous coordinates put pixel centres at halves, the warp puts them at whole numbers.
  const auto shifted_by = [](double shift) {
    Eigen::Matrix3d map = Eigen::Matrix3d::Identity();
    map(0, 2) = map(1, 2) = shift;
    return map;
  };
  const Eigen::Matrix3d map = shifted_by(-0.5) * grid.working_from_plate_px.matrix * shifted_by(0.5);
  cv::Matx33d matrix;
  for (int row = 0; row < 3; ++row) {
    for (int col = 0; col < 3; ++col) matrix(row, col) = map(row, col);
  }
  cv::Mat target;
  cv::warpPerspective(spread, target, matrix, {grid.width, grid.height},
                      cv::INTER_NEAREST | cv::WARP_INVERSE_MAP, cv::BORDER_CONSTANT,
                      cv::Scalar::all(std::nan("")));
  return target;
}

ColourImage coloured(const cv::Mat& rgb, const PlateGrid& grid) {
  ColourImage colour;
  colour.px_per_unit = grid.px_per_unit / kDensityPxPerColourPx;
  const int width = std::max(1, static_cast<int>(std::lround(grid.width / kDensityPxPerColourPx)));
  const int height = std::max(1, static_cast<int>(std::lround(grid.height / kDensityPxPerColourPx)));
  const Homography working_from_colour_px{grid.working_from_plate_px.matrix *
                                          scaled(kDensityPxPerColourPx).matrix};
  colour.rgb = resampled(rgb, working_from_colour_px, width, height);
  return colour;
}

LinearImage evenly_lit(const LinearImage& image, const cv::Mat& relative) {
  LinearImage lit = image;
  lit.luminance = image.luminance / relative;
  if (!image.darkest.empty()) lit.darkest = image.darkest / relative;
  if (!image.lightest.empty()) lit.lightest = image.lightest / relative;
  if (!image.rgb.empty()) {
    cv::Mat three;
    cv::merge(std::array{relative, relative, relative}, three);
    lit.rgb = image.rgb / three;
  }
  return lit;
}

// Lower than nearly all of the plate, averaged so that noise does not count.
double darkest_signal(const cv::Mat& signal) {
  constexpr int kAperture = 5;
  constexpr double kShare = 0.001;
  const cv::Mat mean = aperture_mean(signal, kAperture);
  std::vector<double> values;
  for (int y = 0; y < mean.rows; y += kAperture) {
    for (int x = 0; x < mean.cols; x += kAperture) {
      const float value = mean.at<float>(y, x);
      if (std::isfinite(value)) values.push_back(value);
    }
  }
  return values.empty() ? 1.0 : quantile(values, kShare);
}

DensityErrors device_errors(const DeviceCurve& device) {
  DensityErrors errors;
  const double slope_u = kMaterialSlopeShare * device.material_u;
  errors.covariance.diagonal() << kDriftOffset * kDriftOffset, slope_u * slope_u, kDriftFlare * kDriftFlare;
  std::vector<double> knot_u;
  for (const auto& knot : device.knots) knot_u.push_back(knot.u);
  errors.local_u = median(knot_u);
  return errors;
}

void warn_outside(const DeviceCurve& device, PlateDensity& plate) {
  if (!(device.range_max > device.range_min)) return;
  const cv::Mat& density = plate.image.density;
  const cv::Mat outside = (density < device.range_min) | (density > device.range_max);
  const double share = cv::countNonZero(outside) / static_cast<double>(outside.total());
  if (share < kOutsideShareWarned) return;
  plate.warnings.push_back(
      fmt::format("{:.0f} % of the plate lies outside the densities {:.2f} to {:.2f} that the wedge of the "
                  "device file covers: its curve was continued there",
                  std::max(1.0, 100.0 * share), device.range_min, device.range_max));
}

void calibrate(PlateDensity& plate, const cv::Mat& signal, const cv::Mat& lightest, const cv::Mat& darkest,
               const DeviceCurve& device) {
  plate.calibrated = true;
  plate.errors = device_errors(device);
  plate.offset = {0.0, kDriftOffset};
  plate.image.density = density_by_curve(signal, device);
  plate.lowest = density_by_curve(lightest, device);
  plate.highest = density_by_curve(darkest, device);
  warn_outside(device, plate);
}

void assume_scanner(PlateDensity& plate, const cv::Mat& signal, const cv::Mat& lightest,
                    const cv::Mat& darkest, const ScannerPrior& usual) {
  ScannerPrior prior = usual;
  prior.flare = flare_below(usual.flare, darkest_signal(signal));
  plate.flare = prior.flare.value;
  plate.errors = errors_of(prior);
  plate.offset = {0.0, prior.offset_u};
  plate.image.density = density_without_flare(signal, plate.flare);
  plate.lowest = density_without_flare(lightest, plate.flare);
  plate.highest = density_without_flare(darkest, plate.flare);
}

}  // namespace

Result<PlateDensity> to_density(const Scan& scan, const PlateOutline& outline,
                                const DensityOptions& options) {
  PlateDensity plate;
  if (options.device) {
    auto fits = device_fits(*options.device, scan, options);
    if (!fits) return tl::make_unexpected(fits.error());
    plate.warnings = *fits;
  }
  LinearImage image = scan.image;
  if (options.flat) {
    const auto field = flat_field(*options.flat, scan);
    if (!field) return tl::make_unexpected(field.error());
    image = evenly_lit(image, field->relative);
  }

  const PlateGrid grid = plate_grid(scan, outline, options.px_per_mm);
  const auto upright = [&](const cv::Mat& source) {
    return resampled(source, grid.working_from_plate_px, grid.width, grid.height);
  };
  plate.image.px_per_unit = grid.px_per_unit;
  if (!outline.scale.millimetres) plate.aperture_units = kAperturePx / kRelativePxPerUnitMax;
  const cv::Mat signal = upright(image.luminance);
  const cv::Mat lightest = extreme(image.lightest.empty() ? image.luminance : image.lightest, grid, true);
  const cv::Mat darkest = extreme(image.darkest.empty() ? image.luminance : image.darkest, grid, false);
  if (options.device) {
    calibrate(plate, signal, lightest, darkest, *options.device);
  } else {
    assume_scanner(plate, signal, lightest, darkest, scanner_prior(options.light, outline.photo));
  }
  if (!image.rgb.empty()) {
    plate.colour = coloured(image.rgb, grid);
    plate.colour.photo = outline.photo;
  }
  if (scan.bits <= 8) plate.errors.code_u = kEightBitCodeU;
  if (outline.photo && !options.flat) plate.errors.place_u = kPhotoPlaceU;
  return plate;
}

Quantity default_support_density(PlateKind kind, Light light, Backing backing) {
  if (kind == PlateKind::tintype) return {1.35, 0.15};
  const bool black = kind == PlateKind::ambrotype && backing == Backing::black && light == Light::reflected;
  return black ? Quantity{1.35, 0.20} : Quantity{0.04, 0.02};
}

}  // namespace platewise
