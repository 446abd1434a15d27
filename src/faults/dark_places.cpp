#include "dark_places.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "mask_pieces.h"
#include "plate_masks.h"
#include "platewise/stats/robust.h"
#include "slivers.h"
#include "support_tone.h"

namespace platewise {
namespace {

constexpr int kLevels = 11;
constexpr int kLevelsWithin = 5;         // the opening
constexpr double kLeastSideUnits = 1.5;  // smaller holes are pinholes and dust
constexpr double kLargestShare = 0.15;   // of the plate
constexpr int kSamplePx = 4;             // neighbouring border pixels are not independent
constexpr double kLeastStepGrains = 8.0;
constexpr double kLeastStep = 0.015;  // density

// Where is looked: a part of the plate and how far each place lies from its edge.
struct Part {
  cv::Mat inside;
  cv::Mat from_edge;
  double inset_px = 0.0;  // from the edge that slivers are counted from
};

// A level's border lies at the foot of the step when the level is near the tone of the support: up to where
// it is steepest.
cv::Point steepest_near(const GapGround& ground, cv::Point at, const cv::Rect& safe) {
  constexpr int kWalkPx = 4;
  for (int i = 0; i < kWalkPx; ++i) {
    cv::Point best = at;
    for (int y = -1; y <= 1; ++y)
      for (int x = -1; x <= 1; ++x)
        if (ground.rises.steepness(at + cv::Point(x, y)) > ground.rises.steepness(best))
          best = at + cv::Point(x, y);
    if (best == at || !safe.contains(best)) break;
    at = best;
  }
  return at;
}

GapBorder border_of(const cv::Mat& inside, cv::Rect window, const GapGround& ground, const Part& part) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(inside.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE, window.tl());
  GapBorder border;
  std::vector<double> heights;
  constexpr float kEdgePx = 2.0F;
  constexpr double kWidestRisePx = 5.0;
  constexpr int kEdge = kStepReachPx + 2;
  const cv::Rect safe(kEdge, kEdge, ground.silver.cols - 2 * kEdge, ground.silver.rows - 2 * kEdge);
  for (const auto& outline : outlines) {
    for (std::size_t i = 0; i < outline.size(); i += kSamplePx) {
      if (!safe.contains(outline[i]) || part.from_edge.at<float>(outline[i]) <= kEdgePx) continue;
      ++border.samples;
      const cv::Point at = steepest_near(ground, outline[i], safe);
      border.rising += ground.rises.steepness(at) >= ground.least_step / kWidestRisePx;
      const auto step = plain_step_at(ground.silver, ground.rises, at, ground.least_step, ground.grain);
      if (!step) continue;
      border.steps.push_back({outline[i], static_cast<float>(step->softness_px)});
      heights.push_back(step->height);
    }
  }
  if (heights.empty()) return border;
  border.step = median(heights);
  std::vector<double> softness;
  softness.reserve(border.steps.size());
  for (const PictureEdge& step : border.steps) softness.push_back(step.softness_px);
  border.softness_px = median(softness);
  return border;
}

struct KnownPlace {
  cv::Rect window;
  double area = 0.0;
};
using KnownPlaces = std::vector<KnownPlace>;

// The same place at the next level: what has a hard border hardly changes.
bool is_known(const KnownPlaces& known, const KnownPlace& place) {
  constexpr double kSame = 0.97;
  return std::any_of(known.begin(), known.end(), [&](const KnownPlace& other) {
    return std::min(place.area, other.area) >= kSame * std::max(place.area, other.area) &&
           (place.window & other.window).area() >= kSame * (place.window | other.window).area();
  });
}

void look_at_level(const GapGround& ground, const Part& part, double level, KnownPlaces& known,
                   DarkPlaces& seen) {
  const double least_side = kLeastSideUnits * ground.px_per_unit;
  const double least_area = 0.5 * least_side * least_side;
  const double largest_area = kLargestShare * static_cast<double>(ground.silver.total());
  cv::Mat below = (ground.silver < level) & part.inside;
  const int side = std::max(3, 2 * static_cast<int>(least_side / 6.0) + 1);
  cv::morphologyEx(below, below, cv::MORPH_OPEN, cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side}));
  take_slivers_off(below, part.from_edge, {ground.px_per_unit, part.inset_px, true});
  for (const MaskPiece& piece : pieces_of(below)) {
    const double area = piece.area_px;
    const cv::Rect window = piece.box;
    if (area < least_area || area > largest_area || std::min(window.width, window.height) < least_side)
      continue;
    if (is_known(known, {window, area})) continue;
    known.push_back({window, area});
    ++seen.looked_at;
    DarkPlace place{.window = window, .inside = piece.inside(), .border = {}, .tone = {}};
    place.border = border_of(place.inside, window, ground, part);
    if (quantile_in(ground.silver(window), place.inside, 0.5) > ground.dark) {
      seen.of_lighter.insert(seen.of_lighter.end(), place.border.steps.begin(), place.border.steps.end());
      continue;
    }
    place.tone = piece_tone(ground.smooth, place.inside, window, place.border.step);
    if (!place.tone.is_even || place.border.steps.empty()) continue;
    place.at_edge = cv::countNonZero(place.inside & (part.from_edge(window) <= 2.0F)) > 0;
    seen.places.push_back(std::move(place));
  }
}

}  // namespace

GapGround gap_ground(const Evidence& evidence, const cv::Mat& from_edge) {
  GapGround ground{.silver = evidence.plate_silver, .smooth = {}, .rises = Rises(evidence.plate_silver)};
  ground.px_per_unit = evidence.px_per_unit;
  ground.grain = evidence.grain;
  ground.least_step = std::max(kLeastStep, kLeastStepGrains * evidence.grain);
  const int margin = 2 * static_cast<int>(std::lround(kPlateEdgeUnits * evidence.px_per_unit)) + 1;
  cv::erode(evidence.regions->plate.inside, ground.inner,
            cv::getStructuringElement(cv::MORPH_RECT, {margin, margin}), {-1, -1}, 1, cv::BORDER_CONSTANT,
            cv::Scalar(0));
  if (!evidence.regions->glare.empty()) ground.inner &= ~evidence.regions->glare.inside;
  ground.opened = holder_opening_of(evidence);
  if (!ground.opened.empty()) ground.opened &= ground.inner;
  cv::blur(ground.silver, ground.smooth, {5, 5}, {-1, -1}, cv::BORDER_REPLICATE);
  ground.film = evidence.film.inside;
  ground.picture = evidence.film.inside & evidence.regions->picture.inside;
  ground.second_smooth = every_second(ground.smooth);
  ground.second_film = every_second(ground.film);
  ground.second_picture = every_second(ground.picture);
  constexpr double kWandersUnits = 3.0;
  ground.border = ground.film & (from_edge <= kWandersUnits * ground.px_per_unit);
  constexpr double kDarkShare = 0.1;
  ground.dark = quantile_in(evidence.silver, evidence.film.inside, kDarkShare) + 2.0 * evidence.grain;
  const cv::Mat& rim = evidence.regions->rim.inside;
  if (!rim.empty() && cv::countNonZero(rim) > 0) {
    constexpr double kHardlyAny = 0.02;
    ground.rim_low = quantile_in(ground.smooth, rim, kHardlyAny);
  }
  return ground;
}

DarkPlaces dark_places(const GapGround& ground) {
  const double lowest = quantile_in(ground.silver, ground.inner, 0.0005);
  const double highest = quantile_in(ground.silver, ground.inner, 0.6);
  DarkPlaces seen;
  KnownPlaces known;
  for (const cv::Mat* part : {&ground.inner, &ground.opened}) {
    if (part->empty()) continue;
    const Part where{*part, distance_within(*part),
                     part == &ground.inner ? kPlateEdgeUnits * ground.px_per_unit : 0.0};
    const int levels = part == &ground.inner ? kLevels : kLevelsWithin;
    for (int i = 1; i <= levels; ++i)
      look_at_level(ground, where, lowest + (highest - lowest) * i / levels, known, seen);
  }
  return seen;
}

}  // namespace platewise
