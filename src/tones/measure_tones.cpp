#include "platewise/tones/measure_tones.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "apertures.h"
#include "border_doubt.h"
#include "empty_areas.h"
#include "histogram.h"
#include "outer_parts.h"
#include "patches.h"
#include "percentiles.h"
#include "platewise/raster/sampling.h"
#include "platewise/stats/robust.h"
#include "shared_errors.h"
#include "specks.h"

namespace platewise {
namespace {

constexpr double kFloorShare = 0.01;  // the contract's percentiles of image silver
constexpr double kMiddleShare = 0.50;
constexpr double kHighlightShare = 0.98;
constexpr double kPictureInsetUnits = 0.5;  // the opening's penumbra and the film's edge are neither
constexpr double kLeastPatch = 1.5;         // square units (mm2) of bare support or rim
constexpr std::size_t kFewestApertures = 200;
constexpr double kDoubtfulShare = 0.003;  // of the picture that small faults may have spoilt unnoticed
// How far the middle of all tones may move when the outline takes in or leaves out a little: between a light
// ground and a dark coat a small part of the picture decides.
constexpr double kDoubtfulMiddleShare = 0.04;
constexpr double kBandHundredths = 2.0;  // of the long side: so far outline and opening may be off
constexpr double kUnevenRim = 0.05;      // D: fog that grows toward one side; common practice, no source
constexpr double kUnsureStays = 0.5;     // u per move of a floor that may be bare support or empty shadow
constexpr double kGlareWarned = 0.01;

// The picture as the percentiles see it.
struct PictureSample {
  cv::Mat grid;  // mean densities of the apertures, NaN where nothing counts
  cv::Mat deep;  // the same without the picture's outermost band
  cv::Mat sure;  // and without what may be bare support
  std::vector<double> densities;
  double aperture_noise = 0.0;  // one sigma of grain and scanner noise in an aperture
  double grain = 0.0;           // in one pixel
  double speck_share = 0.0;
};

std::vector<double> finite_values(const cv::Mat& grid) {
  std::vector<double> values;
  for (int y = 0; y < grid.rows; ++y) {
    for (int x = 0; x < grid.cols; ++x) {
      const float value = grid.at<float>(y, x);
      if (std::isfinite(value)) values.push_back(value);
    }
  }
  return values;
}

PictureSample picture_sample(const PlateDensity& plate, const Regions& regions, const TonesOptions& options,
                             const std::optional<Quantity>& rim) {
  if (regions.picture.empty()) return {};
  const double px = plate.image.px_per_unit;
  Mask where = inset(regions.picture, static_cast<int>(std::lround(kPictureInsetUnits * px)));
  if (options.faults && !options.faults->empty()) where.inside = where.inside & ~options.faults->inside;

  PictureSample sample;
  sample.grid = aperture_grid(plate.image, where, plate.aperture_units);
  const int inside = cv::countNonZero(sample.grid == sample.grid);
  const cv::Mat specks = speck_apertures(sample.grid);
  sample.speck_share = inside == 0 ? 0.0 : cv::countNonZero(specks) / static_cast<double>(inside);
  sample.grid.setTo(std::nan(""), specks);
  sample.grain = pixel_noise(plate.image.density, where);
  // Between single pixels and apertures noise may fall less than it would if pixels were independent, but
  // never by less than half; what the grid shows above that is detail.
  const double pixels = std::max(1.0, plate.aperture_units * px);
  sample.aperture_noise = std::min(pixel_noise(sample.grid, {}), 2.0 * sample.grain / pixels);
  if (rim) {
    const double silver_sign = is_positive(options.kind) ? -1.0 : 1.0;
    drop_below_rim(sample.grid, rim->value, silver_sign,
                   kUnevenRim + 3.0 * std::hypot(rim->u, sample.aperture_noise));
  }
  sample.densities = finite_values(sample.grid);
  const double band_px = kBandHundredths / 100.0 * std::max(plate.image.cols(), plate.image.rows());
  sample.deep =
      aperture_grid(plate.image, inset(where, static_cast<int>(std::lround(band_px))), plate.aperture_units);
  sample.deep.setTo(std::nan(""), sample.grid != sample.grid);
  sample.sure = sample.grid.clone();
  if (!regions.unsure.empty()) {
    cv::Mat unsure;
    cv::resize(regions.unsure.inside, unsure, sample.grid.size(), 0, 0, cv::INTER_AREA);
    sample.sure.setTo(std::nan(""), unsure > 0);
  }
  return sample;
}

// Readings: values with the u of the reading alone.
struct PictureReadings {
  Quantity floor;
  Quantity middle;
  Quantity highlight;
};

// Image silver falls with density in a positive: its low percentiles are the high ones of density.
PictureReadings picture_readings(const PictureSample& sample, double silver_sign) {
  const std::vector<double> deep = finite_values(sample.deep);
  const std::vector<double> sure = finite_values(sample.sure);
  const auto at = [&](double share) {
    const double p = silver_sign > 0 ? share : 1.0 - share;
    const bool middle = share == kMiddleShare;
    const double doubtful = (middle ? kDoubtfulMiddleShare : kDoubtfulShare) + sample.speck_share / 4.0;
    const auto read = [&](const std::vector<double>& densities) {
      return percentile(densities, p, sample.aperture_noise, doubtful);
    };
    Quantity all = read(sample.densities);
    const int denser = p > 0.5 ? 1 : -1;
    if (share == kFloorShare && sure.size() >= kFewestApertures && sure.size() < sample.densities.size())
      all = doubted_by_border(all, read(sure), tail_in_band(sample.grid, sample.sure, all.value, denser),
                              kUnsureStays);
    if (deep.size() < kFewestApertures) return all;
    // The middle has no tail: half the picture lies beyond.
    return doubted_by_border(all, read(deep),
                             middle ? 0.0 : tail_in_band(sample.grid, sample.deep, all.value, denser));
  };
  return {at(kFloorShare), at(kMiddleShare), at(kHighlightShare)};
}

void add_picture(const PictureSample& sample, const PictureReadings& readings, const PlateDensity& plate,
                 double silver_sign, Tones& tones) {
  tones.floor_density = with_shared(readings.floor, plate);
  tones.midtone_density = with_shared(readings.middle, plate);
  tones.highlight_density = with_shared(readings.highlight, plate);
  tones.range = difference(readings.highlight, readings.floor, silver_sign, plate);
  const int denser = silver_sign > 0 ? 1 : -1;
  tones.empty_shadow_fraction =
      empty_fraction(sample.grid, readings.floor.value, -denser, sample.grain, sample.aperture_noise);
  tones.blocked_highlight_fraction =
      empty_fraction(sample.grid, readings.highlight.value, denser, sample.grain, sample.aperture_noise);
  tones.histogram = density_histogram(sample.densities);
}

// Fog of `veiled` over the bare support; empty when neither the support was seen nor the scanner calibrated.
std::optional<Quantity> fog_over_support(Quantity veiled, const std::optional<Quantity>& bare,
                                         double silver_sign, const PlateDensity& plate,
                                         const TonesOptions& options) {
  if (bare) return difference(veiled, *bare, silver_sign, plate);
  if (plate.calibrated) return silver_sign * (with_shared(veiled, plate) - options.default_support);
  return std::nullopt;
}

void warn_of_gaps(const Tones& tones, const TonesOptions& options, Warnings& warnings) {
  if (!tones.support_seen) {
    warnings.push_back(
        fmt::format("no bare support is seen on the plate: its density is taken as {:.2f} \u00b1{:.2f}, "
                    "common practice{}",
                    options.default_support.value, options.default_support.u,
                    tones.calibrated ? "; fog is only as sure as that"
                                     : "; without a device file fog cannot be measured"));
  }
  if (!tones.margin_density) {
    warnings.emplace_back(
        "no rim that the holder covered is seen: fog of chemistry and light through the lens cannot be told "
        "apart");
  }
  if (tones.glare_fraction > kGlareWarned) {
    warnings.push_back(fmt::format("glare hides {:.0f} % of the film: its tones were left out",
                                   100.0 * tones.glare_fraction));
  }
}

double share_of(const Mask& part, const Mask& whole) {
  const double all = whole.share();
  return all > 0 ? part.share() / all : 0.0;
}

}  // namespace

Tones measure_tones(const PlateDensity& plate, const Regions& regions, const TonesOptions& options) {
  const double silver_sign = is_positive(options.kind) ? -1.0 : 1.0;
  Tones tones;
  tones.calibrated = plate.calibrated;
  tones.glare_fraction = share_of(regions.glare, regions.film);

  const auto rim_seen = patch_density(plate, regions.rim, kLeastPatch);
  const PictureSample sample = picture_sample(plate, regions, options, rim_seen);
  std::optional<PictureReadings> readings;
  if (sample.densities.size() >= kFewestApertures) readings = picture_readings(sample, silver_sign);

  const OuterParts outer =
      told_apart(patch_density(plate, regions.bare, kLeastPatch), rim_seen,
                 readings ? std::optional(readings->floor) : std::nullopt, silver_sign, plate);
  tones.warnings = outer.warnings;
  tones.support_seen = outer.bare.has_value();
  tones.support_density = outer.bare ? with_shared(*outer.bare, plate) : options.default_support;
  if (outer.rim) {
    tones.margin_density = with_shared(*outer.rim, plate);
    tones.margin_fog = fog_over_support(*outer.rim, outer.bare, silver_sign, plate, options);
  }

  if (!readings) {
    tones.warnings.emplace_back(
        "too little of the exposed picture is seen to measure its tones: give the plate's corners with "
        "--corners");
  } else {
    add_picture(sample, *readings, plate, silver_sign, tones);
    tones.fog = fog_over_support(readings->floor, outer.bare, silver_sign, plate, options);
    if (outer.rim) tones.floor_over_margin = difference(readings->floor, *outer.rim, silver_sign, plate);
  }
  warn_of_gaps(tones, options, tones.warnings);
  return tones;
}

}  // namespace platewise
