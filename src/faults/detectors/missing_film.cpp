#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "../dark_places.h"
#include "../film_gaps.h"
#include "../film_place.h"
#include "../gap_outline.h"
#include "../mask_pieces.h"
#include "../plate_masks.h"
#include "../slivers.h"
#include "../straight_border.h"
#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

constexpr double kLeastAreaUnits2 = 4.0;  // the handbook's corners start at 2 mm
constexpr double kProposeLog10Nfa = 0.0;
constexpr double kMostStraight = 0.5;
constexpr double kMostly = 0.6;

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

// A border of bare support round the film, or along three sides of it, is cut in four, so that an outline
// encloses only what is bare.
void cut_rings(cv::Mat& bare) {
  constexpr double kWholeSide = 0.8;
  constexpr double kMuchOfASide = 0.5;
  for (const MaskPiece& piece : pieces_of(bare)) {
    const cv::Size size = piece.box.size();
    const double across = size.width / static_cast<double>(bare.cols);
    const double down = size.height / static_cast<double>(bare.rows);
    if (std::max(across, down) < kWholeSide || std::min(across, down) < kMuchOfASide ||
        piece.area_px > 0.5 * size.area())
      continue;
    bare.col(bare.cols / 2).setTo(0);
    bare.row(bare.rows / 2).setTo(0);
    return;
  }
}

// The regions stage sees bare support coarsely: what a gap shows of it, it shows better. Of pieces that reach
// much farther it keeps the rest.
void take_out_what_lies_in(const cv::Mat& missing, cv::Mat& bare) {
  for (const MaskPiece& piece : pieces_of(bare)) {
    int inside = 0;
    for (const PieceRun& run : piece.runs)
      inside += cv::countNonZero(missing.row(run.y).colRange(run.from, run.to));
    if (inside >= kMostly * piece.area_px) paint(piece, bare, 0);
  }
  bare &= ~missing;
}

std::vector<std::vector<cv::Point>> outlines_of(const cv::Mat& pieces) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(pieces.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  return outlines;
}

// Without film; `gap` is null for what the regions stage saw.
struct Pieces {
  cv::Mat inside;
  const FilmGap* gap = nullptr;
  bool is_coarse = false;
  bool by_border_alone = false;
};

// Corners cut off alike belong to the plate's shape: the ground beside it is seen there, not bare support.
// Their sizes, square pixels.
std::vector<double> cut_corners(const std::vector<Pieces>& all, double px_per_unit) {
  std::vector<double> cut;
  for (const Pieces& pieces : all)
    for (const auto& outline : outlines_of(pieces.inside))
      if (ends_in_a_cut(outline, pieces.inside.size(), px_per_unit)) cut.push_back(cv::contourArea(outline));
  return cut;
}

bool is_one_of_alike(double area, const std::vector<double>& cut) {
  constexpr int kAlike = 3;
  constexpr double kMostLarger = 3.0;  // their depths by its root
  return std::count_if(cut.begin(), cut.end(), [&](double other) {
           return std::max(area, other) <= kMostLarger * std::min(area, other);
         }) >= kAlike;
}

void propose(const Pieces& pieces, const Evidence& evidence, const PlateZones& zones,
             const std::vector<double>& cut, std::vector<Candidate>& candidates) {
  const double px_per_unit = evidence.px_per_unit;
  const cv::Size size = pieces.inside.size();
  const FilmGap* gap = pieces.gap;
  for (const auto& outline : outlines_of(pieces.inside)) {
    const double area = cv::contourArea(outline) / (px_per_unit * px_per_unit);
    cv::Mat piece = cv::Mat::zeros(size, CV_8UC1);
    cv::drawContours(piece, std::vector<std::vector<cv::Point>>{outline}, 0, cv::Scalar(255), cv::FILLED);
    const FilmPlace place = film_place(piece, outline, zones);
    const bool at_border = place.at_edge || place.at_rim;
    if (at_border && area < kLeastAreaUnits2) continue;
    if (straight_share(outline, size, px_per_unit) > kMostStraight) continue;
    // Less is a snipped or rounded corner of the plate, with the scanner's bed beside it.
    constexpr double kLeastDepthShare = 0.05;  // of the short side, as coverage counts a bare corner
    if ((place.holds_corner || place.spans_corner) &&
        place.corner_depth_px < kLeastDepthShare * std::min(size.width, size.height))
      continue;
    if (ends_in_a_cut(outline, size, px_per_unit) && is_one_of_alike(cv::contourArea(outline), cut)) continue;
    const cv::RotatedRect tight = cv::minAreaRect(outline);
    Candidate candidate{.outline_units = in_units(outline, px_per_unit),
                        .area = area,
                        .length = std::max(tight.size.width, tight.size.height) / px_per_unit,
                        .width = std::min(tight.size.width, tight.size.height) / px_per_unit,
                        .contrast = gap ? gap->step : 0.3,
                        .confidence = 0.8};
    if (pieces.by_border_alone) candidate.log10_nfa = gap->log10_nfa;
    candidate.id = name_of_missing_film(place, outline,
                                        {.area = area,
                                         .length = *candidate.length,
                                         .width = *candidate.width,
                                         .step = gap ? gap->step : 0.0,
                                         .is_coarse = pieces.is_coarse},
                                        zones);
    if (candidate.id.empty()) continue;
    candidates.push_back(std::move(candidate));
  }
}

// What is missing inside the band along the plate's edge, where no border is judged, goes on to the edge.
cv::Mat up_to_the_edge(const cv::Mat& inside, const Evidence& evidence, const PlateZones& zones) {
  constexpr double kReachUnits = 1.0;
  constexpr double kInsetPx = 3.0;  // of a piece's border from the band
  const cv::Mat band =
      evidence.regions->plate.inside & (zones.from_edge <= kPlateEdgeUnits * evidence.px_per_unit + kInsetPx);
  const cv::Mat grown = grown_by(inside, disc(kReachUnits * evidence.px_per_unit));
  cv::Mat missing = inside | (grown & band);
  cut_rings(missing);
  take_slivers_off(missing, zones.from_edge, {.px_per_unit = evidence.px_per_unit, .keep_bays = true});
  return missing;
}

void add_bare(const cv::Mat& bare, const Evidence& evidence, const GapGround& ground, const PlateZones& zones,
              std::vector<Pieces>& all) {
  for (const auto& outline : outlines_of(bare)) {
    cv::Mat piece = cv::Mat::zeros(bare.size(), CV_8UC1);
    cv::drawContours(piece, std::vector<std::vector<cv::Point>>{outline}, 0, cv::Scalar(255), cv::FILLED);
    const cv::Mat sharp = seen_sharply(piece, ground);
    if (sharp.empty())
      all.push_back({.inside = piece, .is_coarse = true});
    else
      all.push_back({.inside = up_to_the_edge(sharp, evidence, zones)});
  }
}

}  // namespace

// Bare support that the regions stage saw, and places whose border only missing film can have. At the border
// the pour missed them or the film frilled, inside the film it was torn.
std::vector<Candidate> missing_film(const Evidence& evidence) {
  const PlateZones zones = plate_zones(evidence);
  const GapGround ground = gap_ground(evidence, zones.from_edge);
  cv::Mat bare = evidence.regions->plate.inside & ~evidence.regions->film.inside;
  cut_rings(bare);
  take_slivers_off(bare, zones.from_edge, {.px_per_unit = evidence.px_per_unit});
  const std::vector<FilmGap> gaps = film_gaps(evidence, ground, kProposeLog10Nfa);
  std::vector<Pieces> all;
  for (const FilmGap& gap : gaps) {
    const cv::Mat missing = up_to_the_edge(gap.inside, evidence, zones);
    const bool seen_bare = cv::countNonZero(missing & bare) > kMostly * cv::countNonZero(missing);
    all.push_back({.inside = missing, .gap = &gap, .by_border_alone = !gap.by_tone && !seen_bare});
    take_out_what_lies_in(all.back().inside, bare);
  }
  add_bare(bare, evidence, ground, zones, all);
  const std::vector<double> cut = cut_corners(all, evidence.px_per_unit);
  std::vector<Candidate> candidates;
  for (const Pieces& pieces : all) propose(pieces, evidence, zones, cut, candidates);
  return candidates;
}

}  // namespace platewise::fault_detectors
