#include "platewise/regions/find_regions.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "bare_support.h"
#include "glare.h"
#include "grain_map.h"
#include "holder_opening.h"
#include "masked_values.h"
#include "picture_places.h"
#include "plate_edge.h"
#include "platewise/raster/sampling.h"
#include "working_tone.h"

namespace platewise {
namespace {

constexpr double kPlateEdgeHundredths = 1.0;  // bevel, shadow and edge stains
constexpr double kUncoveredShare = 0.05;      // of the short side, along the diagonal: a bare corner

// Whether what was taken for the rim is for the most part bare support, which ends on the picture itself.
bool is_rim_bare(const Seen& seen, const cv::Mat& bare) {
  constexpr double kMost = 0.5;
  const cv::Mat rim = seen.plate & ~filled(outline_of(seen.opening, seen.working), seen.plate.size());
  return cv::countNonZero(rim & bare) > kMost * cv::countNonZero(rim);
}

Seen look_at(const DensityImage& plate, const RegionsOptions& options) {
  Seen seen;
  seen.working = working_tone(plate, options.kind);
  seen.plate = inside_plate_edge(seen.working);
  seen.opening = holder_opening(seen.working, seen.plate);
  const cv::Mat grain = grain_map(plate, seen.working);
  Ground ground = ground_of(seen.working, seen.plate, grain, seen.opening);
  seen.bare = bare_support(ground);
  constexpr int kFewSides = 2;  // three or four straight sides of one tone are a holder's
  const int sides = seen.opening.side_count();
  if (sides > 0 && sides <= kFewSides && cv::countNonZero(seen.bare) == 0) {
    const Ground rimless = ground_of(seen.working, seen.plate, grain, {});
    const cv::Mat bare = bare_support(rimless);
    if (is_rim_bare(seen, bare)) {
      seen.opening = {};
      seen.bare = bare;
      ground = rimless;
    }
  }
  seen.rim = ground.levels;
  seen.film = seen.plate & ~seen.bare;
  seen.glare = options.photo && is_positive(options.kind) ? glare_spots(seen.working, seen.film)
                                                          : cv::Mat::zeros(seen.plate.size(), CV_8UC1);
  return seen;
}

// Too few pixels tell of their own noise and of whatever lies beside them.
cv::Mat large_enough(const cv::Mat& mask) {
  constexpr double kSmallestShare = 0.001;  // of the plate
  constexpr int kFewestPixels = 60;
  const int pixels = cv::countNonZero(mask);
  if (pixels >= kFewestPixels && pixels >= kSmallestShare * static_cast<double>(mask.total())) return mask;
  return cv::Mat::zeros(mask.size(), CV_8UC1);
}

// Only what has the rim's own tone and lies near the opening: stains, scratched numbers and fog that crept in
// from the edge stay out, and so does most bare support that nobody could tell from the rim.
cv::Mat rim_core(const Seen& seen) {
  if (seen.opening.side_count() == 0) return cv::Mat::zeros(seen.plate.size(), CV_8UC1);
  const WorkingTone& working = seen.working;
  const cv::Mat opened = filled(outline_of(seen.opening, working), seen.plate.size());
  constexpr double kNearHundredths = 2.8;
  cv::Mat near;
  const int reach = working.pixels(kNearHundredths);
  cv::dilate(opened, near, cv::Mat::ones(2 * reach + 1, 2 * reach + 1, CV_8U), {-1, -1}, 1,
             cv::BORDER_CONSTANT, 0);
  double tolerance =
      std::max({0.02, 4.0 * working.noise_at(seen.opening.rim_tone), 3.0 * seen.opening.rim_spread});
  constexpr double kNearer = 0.5;  // to the rim than to bare support
  if (seen.rim && seen.rim->step > 0.0) tolerance = std::min(tolerance, kNearer * seen.rim->step);
  return large_enough(near & eroded(seen.film & ~opened, working.pixels(kClearHundredths)) &
                      eroded(seen.plate, working.pixels(kPlateEdgeHundredths)) &
                      (cv::abs(working.smooth - rim_tone_of(seen)) <= tolerance) & ~seen.glare);
}

// Measured only where it is even: a wrong sliver on the border moves the middle of a narrow strip.
cv::Mat bare_core(const Seen& seen) {
  constexpr double kBorderHundredths = 0.3;
  constexpr double kEdgeHundredths = 0.5;
  const WorkingTone& working = seen.working;
  cv::Mat core = eroded(seen.bare, working.pixels(kBorderHundredths)) &
                 eroded(seen.plate, working.pixels(kEdgeHundredths));
  std::vector<float> tones = values_in(working.smooth, core);
  if (tones.empty()) return core;
  const MiddleAndSpread middle = middle_and_spread(tones);
  const double tolerance = std::max({0.01, 3.0 * middle.spread, 3.0 * working.noise_at(middle.middle)});
  return large_enough(core & (cv::abs(working.smooth - middle.middle) <= tolerance));
}

bool is_uncovered(const Seen& seen, Corner corner) {
  const int short_side = std::min(seen.plate.rows, seen.plate.cols);
  const bool right = corner == Corner::top_right || corner == Corner::bottom_right;
  const bool bottom = corner == Corner::bottom_left || corner == Corner::bottom_right;
  const int reach = static_cast<int>(std::lround(kUncoveredShare * short_side / std::sqrt(2.0)));
  int bare = 0;
  for (int along = 0; along <= reach; ++along) {
    const int x = right ? seen.plate.cols - 1 - along : along;
    const int y = bottom ? seen.plate.rows - 1 - along : along;
    const bool off_plate = seen.plate.at<std::uint8_t>(y, x) == 0;
    bare += off_plate || seen.bare.at<std::uint8_t>(y, x) != 0 ? 1 : 0;
  }
  constexpr double kNearlyAll = 0.9;
  const int x = right ? seen.plate.cols - 1 - reach : reach;
  const int y = bottom ? seen.plate.rows - 1 - reach : reach;
  return seen.bare.at<std::uint8_t>(y, x) != 0 && bare >= kNearlyAll * (reach + 1);
}

void warn_of_doubtful_sides(Regions& regions, const HolderOpening& opening) {
  constexpr std::array kEdges = {Edge::top, Edge::right, Edge::bottom, Edge::left};
  constexpr std::array<std::string_view, 4> kNames = {"top", "right", "bottom", "left"};
  for (const Edge edge : kEdges) {
    const auto i = static_cast<std::size_t>(edge);
    if (opening.doubtful_px[i] <= 0.0) continue;
    regions.warnings.push_back("The band along the " + std::string(kNames[i]) +
                               " edge may be covered rim or a dark scene: it was left out of both.");
  }
}

void warn_of_glare(Regions& regions) {
  const double share = cv::countNonZero(regions.glare.inside) /
                       std::max(1.0, static_cast<double>(cv::countNonZero(regions.plate.inside)));
  if (share <= 0.0) return;
  const auto percent = std::max(1L, std::lround(100.0 * share));
  regions.warnings.push_back("Glare covers about " + std::to_string(percent) +
                             " % of the plate: no tones were taken there. Turn the plate or the lamp and " +
                             "photograph it again.");
}

}  // namespace

Regions find_regions(const DensityImage& plate, const RegionsOptions& options) {
  const Seen seen = look_at(plate, options);
  Regions regions;
  regions.plate.inside = at_full_size(seen.plate, plate);
  regions.film.inside = at_full_size(seen.film, plate);
  regions.bare.inside = at_full_size(bare_core(seen), plate);
  regions.rim.inside = at_full_size(rim_core(seen), plate);
  regions.glare.inside = at_full_size(seen.glare, plate);
  const cv::Mat picture = picture_core(seen);
  regions.picture.inside = at_full_size(picture, plate);
  regions.unsure.inside = at_full_size(like_rim_at_edge(seen, picture), plate);
  if (seen.opening.side_count() > 0) {
    regions.image_area_units.emplace();
    for (const Point corner : outline_of(seen.opening, seen.working)) {
      regions.image_area_units->push_back((seen.working.shrink / plate.px_per_unit) * corner);
    }
  }
  regions.covered_fraction =
      cv::countNonZero(seen.film) / std::max(1.0, static_cast<double>(cv::countNonZero(seen.plate)));
  for (const Corner corner :
       {Corner::top_left, Corner::top_right, Corner::bottom_right, Corner::bottom_left}) {
    if (is_uncovered(seen, corner)) regions.uncovered_corners.push_back(corner);
  }
  regions.grain_density = pixel_noise(plate.density, regions.film);
  warn_of_doubtful_sides(regions, seen.opening);
  warn_of_glare(regions);
  return regions;
}

}  // namespace platewise
