#include "rim_band.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "plate_masks.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kClearUnits = 0.5;     // the opening's penumbra, and light scattered from the picture
constexpr double kFilmEdgeUnits = 0.5;  // the film's own edge is thick or ragged
constexpr double kNarrowestUnits = 0.5;
constexpr double kDeepestUnits = 12.0;
constexpr double kOuterUnits = 3.5;  // of a wide rim: a stain may be shallower than the rim
constexpr double kSmoothUnits = 0.25;
constexpr double kLeastScatter = 0.004;  // D
constexpr std::size_t kFewestPlaces = 40;

cv::Mat square(double units, double px_per_unit) {
  const int side = 2 * std::max(1, static_cast<int>(std::lround(units * px_per_unit))) + 1;
  return cv::getStructuringElement(cv::MORPH_RECT, {side, side});
}

// Film clear of its own edge and of the holder's opening with its penumbra.
cv::Mat covered_film(const Evidence& evidence) {
  const Regions& regions = *evidence.regions;
  cv::Mat film = regions.film.inside & regions.plate.inside;
  cv::erode(film, film, square(kFilmEdgeUnits, evidence.px_per_unit), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar(0));
  cv::Mat opening = holder_opening_of(evidence);
  cv::dilate(opening, opening, square(kClearUnits, evidence.px_per_unit));
  return film & ~opening;
}

std::optional<RimPlace> place_at(const Evidence& evidence, const cv::Mat& silver, const cv::Mat& mask,
                                 Edge side, double along) {
  RimPlace place{.along = along};
  const double k = evidence.px_per_unit;
  for (double depth = 0.5 * kRimDepthUnits; depth < kDeepestUnits; depth += kRimDepthUnits) {
    double sum = 0.0;
    int count = 0;
    for (const double beside : {-0.17, 0.0, 0.17}) {
      const cv::Point at(on_side(evidence, side, along + beside, depth) * k);
      if (at.x < 0 || at.y < 0 || at.x >= mask.cols || at.y >= mask.rows || mask.at<std::uint8_t>(at) == 0)
        continue;
      sum += static_cast<double>(silver.at<float>(at));
      ++count;
    }
    if (count == 0 && !place.profile.empty()) break;
    if (count == 0) continue;
    if (place.profile.empty()) place.outer = depth;
    place.inner = depth;
    place.profile.push_back(sum / count);
  }
  if (place.profile.size() < 3 || place.inner - place.outer < kNarrowestUnits) return std::nullopt;
  return place;
}

double median_of(std::vector<double>::const_iterator from, std::vector<double>::const_iterator to) {
  return median(std::vector<double>(from, to));
}

double lift_of(const std::vector<double>& profile) {
  const auto used = static_cast<std::ptrdiff_t>(
      std::min(profile.size(), static_cast<std::size_t>(kOuterUnits / kRimDepthUnits)));
  const auto begin = profile.begin();
  return std::min(median_of(begin, begin + (used + 1) / 2), median_of(begin + used / 2, begin + used));
}

// The rim's own even slope over the plate: light falls off over a photo, fog is not quite even. Tukey's
// biweight about a plane, so that stained stretches do not pull it.
cv::Vec3d clean_plane(const std::vector<cv::Point2d>& at, const std::vector<double>& values) {
  cv::Vec3d plane(median(values), 0.0, 0.0);
  double scatter = std::max(kLeastScatter, robust_sigma(values));
  constexpr int kRounds = 8;
  constexpr double kReach = 4.0;
  for (int round = 0; round < kRounds; ++round) {
    cv::Matx33d normal = cv::Matx33d::eye() * 1e-9;
    cv::Vec3d right(0, 0, 0);
    std::vector<double> sizes;
    for (std::size_t i = 0; i < at.size(); ++i) {
      const cv::Vec3d row(1.0, at[i].x, at[i].y);
      const double off = values[i] - plane.dot(row);
      sizes.push_back(std::abs(off));
      const double u = off / (kReach * scatter);
      if (std::abs(u) >= 1.0) continue;
      const double weight = (1.0 - u * u) * (1.0 - u * u);
      normal += weight * (row * row.t());
      right += weight * values[i] * row;
    }
    plane = normal.inv(cv::DECOMP_CHOLESKY) * right;
    scatter = std::max(kLeastScatter, 1.4826 * median(sizes));
  }
  return plane;
}

// Density from one code to the next: nothing smaller is known in the darks of an 8-bit scan. Codes follow
// signal^(1 / 2.2).
double code_step(const Evidence& evidence, double silver) {
  if (evidence.errors == nullptr || !(evidence.errors->code_u > 0.0)) return 0.0;
  constexpr double kRoundingU = 0.3;  // of a code, as density/ counts it
  const double density = is_positive(evidence.kind) ? -silver : silver;
  const double code = std::pow(10.0, -(density - evidence.errors->added) / 2.2);
  return evidence.errors->code_u / kRoundingU * 2.2 / (std::numbers::ln10 * std::max(code, 0.01));
}

// Takes the clean rim off all places and learns what chance gives.
void level(RimBand& band, const Evidence& evidence) {
  std::vector<cv::Point2d> at;
  std::vector<double> lifts;
  for (RimSide& side : band.sides)
    for (RimPlace& place : side.places) {
      place.lift = lift_of(place.profile);
      lifts.push_back(place.lift);
      at.push_back(on_side(evidence, side.side, place.along, 0.5 * (place.outer + place.inner)));
    }
  const cv::Vec3d plane = clean_plane(at, lifts);
  const double step = code_step(evidence, plane.dot(cv::Vec3d(1.0, at.front().x, at.front().y)));
  std::size_t i = 0;
  for (RimSide& side : band.sides)
    for (RimPlace& place : side.places) {
      const double clean = plane.dot(cv::Vec3d(1.0, at[i].x, at[i].y));
      place.lift -= clean;
      for (double& value : place.profile) value -= clean;
      lifts[i++] = place.lift;
    }
  band.scatter = std::max({kLeastScatter, robust_sigma(lifts), 0.5 * step});
}

}  // namespace

cv::Point2d on_side(const Evidence& evidence, Edge side, double along, double inward) {
  const double width = evidence.silver.cols / evidence.px_per_unit;
  const double height = evidence.silver.rows / evidence.px_per_unit;
  switch (side) {
    case Edge::top:
      return {along, inward};
    case Edge::right:
      return {width - inward, along};
    case Edge::bottom:
      return {along, height - inward};
    case Edge::left:
      return {inward, along};
  }
  return {along, inward};
}

std::optional<RimBand> rim_band(const Evidence& evidence) {
  if (!evidence.regions->image_area_units) return std::nullopt;
  const cv::Mat mask = covered_film(evidence);
  const int smooth = std::max(1, static_cast<int>(std::lround(kSmoothUnits * evidence.px_per_unit)));
  cv::Mat silver;
  cv::blur(evidence.silver, silver, {smooth, smooth});
  RimBand band;
  std::size_t count = 0;
  for (const Edge side : {Edge::top, Edge::right, Edge::bottom, Edge::left}) {
    RimSide walked{.side = side};
    const bool across = side == Edge::top || side == Edge::bottom;
    walked.length = (across ? evidence.silver.cols : evidence.silver.rows) / evidence.px_per_unit;
    for (double along = 0.5 * kRimStepUnits; along < walked.length; along += kRimStepUnits)
      if (auto place = place_at(evidence, silver, mask, side, along))
        walked.places.push_back(std::move(*place));
    count += walked.places.size();
    if (!walked.places.empty()) band.sides.push_back(std::move(walked));
  }
  if (count < kFewestPlaces) return std::nullopt;
  level(band, evidence);
  return band;
}

}  // namespace platewise
