#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "../border_turns.h"
#include "../film_gaps.h"
#include "../straight_border.h"
#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kSliverUnits = 1.2;      // half the width: the film's edge wanders so far from the plate's
constexpr double kLeastAreaUnits2 = 4.0;  // the handbook's corners start at 2 mm
constexpr double kAtBorderUnits = 2.0;
constexpr double kProposeLog10Nfa = 0.0;
constexpr double kMostStraight = 0.5;
constexpr double kRagged = 0.33;  // turns to and fro a unit: torn film, while a pour ends in one wide bow

Polygon in_units(const std::vector<cv::Point>& outline, double px_per_unit) {
  std::vector<cv::Point> simple;
  cv::approxPolyDP(outline, simple, 1.5, true);
  Polygon polygon;
  for (const cv::Point& p : simple) polygon.push_back({(p.x + 0.5) / px_per_unit, (p.y + 0.5) / px_per_unit});
  return polygon;
}

cv::Mat disc(double radius_px) {
  const int side = 2 * std::max(1, static_cast<int>(std::lround(radius_px))) + 1;
  return cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side});
}

// Without the slivers along the plate's sides that every hand-poured plate has. What lies beyond the plate
// counts as bare for this, else its corners would be cut off.
cv::Mat without_slivers(const cv::Mat& bare, const Evidence& evidence) {
  const double radius = kSliverUnits * evidence.px_per_unit;
  const int frame = static_cast<int>(std::ceil(2.0 * radius)) + 2;
  cv::Mat framed;
  cv::copyMakeBorder(bare | ~evidence.regions->plate.inside, framed, frame, frame, frame, frame,
                     cv::BORDER_CONSTANT, cv::Scalar(255));
  // Beyond the plate is deep enough to carry the opening along its sides: shrink first, from bare alone.
  cv::Mat deep;
  cv::erode(framed, deep, disc(radius), {-1, -1}, 1, cv::BORDER_CONSTANT, cv::Scalar(255));
  const int more = static_cast<int>(std::lround(radius));
  const cv::Rect within(frame + more, frame + more, bare.cols - 2 * more, bare.rows - 2 * more);
  cv::Mat seeds = cv::Mat::zeros(framed.size(), CV_8UC1);
  if (within.width > 0 && within.height > 0) deep(within).copyTo(seeds(within));
  cv::dilate(seeds, seeds, disc(1.3 * radius));
  return seeds(cv::Rect({frame, frame}, bare.size())) & bare;
}

// A border of bare support all round the film is cut in four, so that an outline encloses only what is bare.
void cut_rings(cv::Mat& bare) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(bare.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  constexpr double kMostlyHole = 1.5;
  for (const auto& outline : outlines) {
    cv::Mat filled = cv::Mat::zeros(bare.size(), CV_8UC1);
    cv::drawContours(filled, std::vector<std::vector<cv::Point>>{outline}, 0, cv::Scalar(255), cv::FILLED);
    if (cv::countNonZero(filled) <= kMostlyHole * cv::countNonZero(filled & bare)) continue;
    bare.col(bare.cols / 2).setTo(0);
    bare.row(bare.rows / 2).setTo(0);
    return;
  }
}

struct Place {
  bool at_border = false;
  bool holds_corner = false;     // covers the corner itself
  bool spans_corner = false;     // reaches both sides that meet there
  double corner_depth_px = 0.0;  // how far down the corner's diagonal it reaches
};

// Along 45 degrees from the corner; the plate's own corner may be rounded off.
double depth_at(const cv::Mat& piece, cv::Point corner, cv::Point inward) {
  double depth = 0.0;
  for (int i = 0; i < std::min(piece.rows, piece.cols) / 2; ++i) {
    const cv::Point at = corner + i * inward;
    if (piece.at<std::uint8_t>(at) != 0) depth = i * std::sqrt(2.0);
  }
  return depth;
}

Place place_of(const cv::Mat& piece, double px_per_unit) {
  const int reach = static_cast<int>(std::lround(kAtBorderUnits * px_per_unit));
  Place place;
  const cv::Rect inner(reach, reach, piece.cols - 2 * reach, piece.rows - 2 * reach);
  place.at_border =
      inner.width <= 0 || inner.height <= 0 || cv::countNonZero(piece) > cv::countNonZero(piece(inner));
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
  return place;
}

// Empty for a side that the pour merely left short: how much is bare there is told by the coverage, and
// nothing is wrong with the plate's corner. Also for a hole too narrow to be more than a bit of another.
std::string_view kind_of(const Place& place, const std::vector<cv::Point>& outline,
                         const Candidate& candidate, cv::Size size, double px_per_unit) {
  constexpr double kNarrowestHoleUnits = 1.0;
  constexpr double kLeastMeanDepthUnits = 1.5;
  constexpr int kFewestTurns = 3;
  constexpr int kFewestBays = 2;
  if (place.holds_corner) return "uncovered_corner";
  if (!place.at_border) return *candidate.width >= kNarrowestHoleUnits ? "tear_hole" : "";
  if (candidate.area < kLeastMeanDepthUnits * *candidate.length) return "";
  if (place.spans_corner) return "uncovered_corner";
  const int reach = static_cast<int>(std::lround(kAtBorderUnits * px_per_unit));
  const BorderTurns turns =
      border_turns(outline, {reach, reach, size.width - 2 * reach, size.height - 2 * reach}, px_per_unit);
  const bool winds = turns.per_unit() >= kRagged && turns.to_and_fro >= kFewestTurns;
  if (winds || steep_bays(outline, px_per_unit) >= kFewestBays) return "frilling";
  // A side that the pool never reached has the corner's name too (handbook, faults.csv).
  constexpr double kMissedSideShare = 0.08;  // mean depth, of the short side
  return candidate.area >
                 kMissedSideShare * std::min(size.width, size.height) / px_per_unit * *candidate.length
             ? "uncovered_corner"
             : "";
}

void propose(const cv::Mat& pieces, const FilmGap* gap, const Evidence& evidence,
             std::vector<Candidate>& candidates) {
  const double px_per_unit = evidence.px_per_unit;
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(pieces.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  // Corners cut off alike belong to the plate's shape: the ground beside it is seen there, not bare support.
  constexpr auto kAlike = 3;
  const bool has_cut_corners = std::count_if(outlines.begin(), outlines.end(), [&](const auto& outline) {
                                 return ends_in_a_cut(outline, pieces.size(), px_per_unit);
                               }) >= kAlike;
  for (const auto& outline : outlines) {
    const double area = cv::contourArea(outline) / (px_per_unit * px_per_unit);
    cv::Mat piece = cv::Mat::zeros(pieces.size(), CV_8UC1);
    cv::drawContours(piece, std::vector<std::vector<cv::Point>>{outline}, 0, cv::Scalar(255), cv::FILLED);
    const Place place = place_of(piece, px_per_unit);
    if (place.at_border && area < kLeastAreaUnits2) continue;
    if (place.at_border && straight_share(outline, pieces.size(), px_per_unit) > kMostStraight) continue;
    // Less is a snipped or rounded corner of the plate, with the scanner's bed beside it.
    constexpr double kLeastDepthShare = 0.05;  // of the short side, as coverage counts a bare corner
    if ((place.holds_corner || place.spans_corner) &&
        place.corner_depth_px < kLeastDepthShare * std::min(pieces.rows, pieces.cols))
      continue;
    if (has_cut_corners && ends_in_a_cut(outline, pieces.size(), px_per_unit)) continue;
    const cv::RotatedRect tight = cv::minAreaRect(outline);
    Candidate candidate{.outline_units = in_units(outline, px_per_unit),
                        .area = area,
                        .length = std::max(tight.size.width, tight.size.height) / px_per_unit,
                        .width = std::min(tight.size.width, tight.size.height) / px_per_unit,
                        .contrast = gap ? gap->step : 0.3,
                        .confidence = 0.8};
    if (gap && !gap->is_torn) candidate.log10_nfa = gap->log10_nfa;
    candidate.id = kind_of(place, outline, candidate, pieces.size(), px_per_unit);
    if (candidate.id.empty()) continue;
    candidates.push_back(std::move(candidate));
  }
}

}  // namespace

// Bare support that the regions stage saw, and places whose border only missing film can have. At the border
// the pour missed them or the film frilled, inside the film it was torn.
std::vector<Candidate> missing_film(const Evidence& evidence) {
  const Regions& regions = *evidence.regions;
  cv::Mat bare = regions.plate.inside & ~regions.film.inside;
  cut_rings(bare);
  const cv::Mat seen = without_slivers(bare, evidence);
  std::vector<Candidate> candidates;
  propose(seen, nullptr, evidence, candidates);
  for (const FilmGap& gap : film_gaps(evidence, kProposeLog10Nfa)) {
    if (cv::countNonZero(gap.inside & seen) > 0) continue;
    // The border is only judged inside the plate's edge: what is missing there goes on to the edge.
    cv::Mat grown;
    cv::dilate(gap.inside, grown, disc(1.0 * evidence.px_per_unit));
    const cv::Mat edge = regions.plate.inside & ~evidence.film.inside & grown;
    cv::Mat missing = gap.inside | edge;
    cut_rings(missing);
    propose(without_slivers(missing, evidence) | (missing & gap.inside & evidence.film.inside), &gap,
            evidence, candidates);
  }
  return candidates;
}

}  // namespace platewise::fault_detectors
