#include "film_place.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "border_turns.h"
#include "plate_masks.h"

namespace platewise {
namespace {

constexpr double kAtEdgeUnits = 2.0;
constexpr double kAtRimUnits = 1.0;
constexpr double kFreeUnits = 2.0;  // from the edge: nearer, slivers were cut off
constexpr double kFreeOfRimUnits = 1.2;

// Along 45 degrees from the corner; the plate's own corner may be rounded off.
double depth_at(const cv::Mat& piece, cv::Point corner, cv::Point inward) {
  double depth = 0.0;
  for (int i = 0; i < std::min(piece.rows, piece.cols) / 2; ++i) {
    const cv::Point at = corner + i * inward;
    if (piece.at<std::uint8_t>(at) != 0) depth = i * std::sqrt(2.0);
  }
  return depth;
}

void look_at_corners(const cv::Mat& piece, double px_per_unit, FilmPlace& place) {
  const int reach = static_cast<int>(std::lround(kAtEdgeUnits * px_per_unit));
  const cv::Rect inner(reach, reach, piece.cols - 2 * reach, piece.rows - 2 * reach);
  const int right = piece.cols - 1;
  const int bottom = piece.rows - 1;
  for (const auto& [corner, inward] : {std::pair{cv::Point{0, 0}, cv::Point{1, 1}},
                                       {cv::Point{right, 0}, cv::Point{-1, 1}},
                                       {cv::Point{right, bottom}, cv::Point{-1, -1}},
                                       {cv::Point{0, bottom}, cv::Point{1, -1}}}) {
    const cv::Point first(corner.x == 0 ? 0 : corner.x - reach + 1, corner.y == 0 ? 0 : corner.y - reach + 1);
    const cv::Rect block(first, cv::Size(reach, reach));
    const bool holds_it = cv::countNonZero(piece(block)) > reach * reach / 3;
    const cv::Rect along_row(inner.x, block.y, inner.width, reach);
    const cv::Rect along_column(block.x, inner.y, reach, inner.height);
    const bool spans_it = inner.width > 0 && inner.height > 0 && cv::countNonZero(piece(along_row)) > reach &&
                          cv::countNonZero(piece(along_column)) > reach;
    if (!holds_it && !spans_it) continue;
    (holds_it ? place.holds_corner : place.spans_corner) = true;
    place.corner_depth_px = std::max(place.corner_depth_px, depth_at(piece, corner, inward));
  }
}

BorderTurns turns_of(const FilmPlace& place, const std::vector<cv::Point>& outline, double step,
                     const PlateZones& zones) {
  constexpr double kLeastRise = 0.2;  // of the step
  const double from_edge = kFreeUnits * zones.px_per_unit;
  const double from_rim = kFreeOfRimUnits * zones.px_per_unit;
  const auto is_free = [&](cv::Point at) {
    return zones.from_edge.at<float>(at) > from_edge && zones.rise.at<float>(at) >= kLeastRise * step &&
           (!place.at_rim || zones.from_rim.at<float>(at) > from_rim);
  };
  return border_turns(outline, is_free, zones.px_per_unit);
}

cv::Mat rise_within(const cv::Mat& silver, int side_px) {
  cv::Mat smooth;
  cv::Mat rise;
  cv::blur(silver, smooth, {3, 3}, {-1, -1}, cv::BORDER_REPLICATE);
  cv::morphologyEx(smooth, rise, cv::MORPH_GRADIENT, cv::Mat::ones(side_px, side_px, CV_8U));
  return rise;
}

// A pour ends in one wide bow; torn film turns to and fro, or leaves steep bays.
bool is_torn(const FilmPlace& place, const std::vector<cv::Point>& outline, double step,
             const PlateZones& zones) {
  const BorderTurns turns = turns_of(place, outline, step, zones);
  constexpr double kRagged = 0.33;  // turns to and fro a unit
  constexpr int kFewestTurns = 3;
  constexpr double kScalloped = 0.24;
  constexpr int kManyTurns = 6;
  const bool winds_long = turns.per_unit() >= kScalloped && turns.to_and_fro >= kManyTurns;
  constexpr int kFewestBays = 2;
  return winds_long || (turns.per_unit() >= kRagged && turns.to_and_fro >= kFewestTurns) ||
         steep_bays(outline, zones.px_per_unit) >= kFewestBays;
}

// A side that the pool never reached has the corner's name too (handbook, faults.csv); where the film's edge
// only wanders, nothing is said.
bool is_missed_side(const PieceSize& size, const PlateZones& zones) {
  constexpr double kMissedSideShare = 0.065;  // mean depth, of the short side
  const double short_side = std::min(zones.from_edge.cols, zones.from_edge.rows) / zones.px_per_unit;
  return size.area > kMissedSideShare * short_side * size.length;
}

}  // namespace

PlateZones plate_zones(const Evidence& evidence) {
  PlateZones zones{.from_edge = distance_within(evidence.regions->plate.inside),
                   .from_rim = {},
                   .rise = rise_within(evidence.plate_silver, 5),
                   .px_per_unit = evidence.px_per_unit};
  const cv::Mat opened = holder_opening_of(evidence);
  if (!opened.empty()) zones.from_rim = distance_within(opened) - distance_within(~opened);
  return zones;
}

FilmPlace film_place(const cv::Mat& piece, const std::vector<cv::Point>& outline, const PlateZones& zones) {
  FilmPlace place;
  look_at_corners(piece, zones.px_per_unit, place);
  constexpr double kOfItsSize = 0.12;
  const cv::Rect box = cv::boundingRect(outline);
  const double near_rim =
      std::min(kAtRimUnits, kOfItsSize * std::max(box.width, box.height) / zones.px_per_unit);
  double nearest = 1e9;
  int at_rim = 0;
  int beyond = 0;
  for (const cv::Point p : outline) {
    const double from_edge = zones.from_edge.at<float>(p);
    nearest = std::min(nearest, from_edge);
    if (zones.from_rim.empty()) continue;
    const double from_rim = zones.from_rim.at<float>(p) / zones.px_per_unit;
    beyond += from_rim < -kAtRimUnits;
    at_rim += std::abs(from_rim) <= near_rim;
  }
  place.at_edge = nearest <= kAtEdgeUnits * zones.px_per_unit;
  constexpr double kMostBeyond = 0.1;
  constexpr double kGoodPart = 0.15;
  const auto n = static_cast<double>(outline.size());
  place.at_rim = !place.at_edge && beyond <= kMostBeyond * n && at_rim >= kGoodPart * n;
  return place;
}

std::string_view name_of_missing_film(const FilmPlace& place, const std::vector<cv::Point>& outline,
                                      const PieceSize& size, const PlateZones& zones) {
  constexpr double kNarrowestHoleUnits = 1.0;
  constexpr double kLeastMeanDepthUnits = 1.5;
  if (!place.at_edge && !place.at_rim) return size.width >= kNarrowestHoleUnits ? "tear_hole" : "";
  // A pour's edge winds too, where it meets the sides beside a corner.
  constexpr double kAlongASide = 2.5;  // longer than the corner is deep
  const bool along_a_side = size.length * zones.px_per_unit > kAlongASide * place.corner_depth_px;
  if (place.holds_corner)
    return along_a_side && !size.is_coarse && is_torn(place, outline, size.step, zones) ? "frilling"
                                                                                        : "uncovered_corner";
  constexpr double kLeastCoarseUnits = 7.0;
  if (size.area < kLeastMeanDepthUnits * size.length || (size.is_coarse && size.length < kLeastCoarseUnits))
    return "";
  if (place.spans_corner) return "uncovered_corner";
  if (!size.is_coarse && is_torn(place, outline, size.step, zones)) return "frilling";
  if (!is_missed_side(size, zones)) return "";
  // Film on the rim beyond it: the pool came that far. A side's piece is long beside it.
  constexpr double kCompact = 0.45;
  return place.at_rim && size.width >= kCompact * size.length ? "tear_hole" : "uncovered_corner";
}

}  // namespace platewise
