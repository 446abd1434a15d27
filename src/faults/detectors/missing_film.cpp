#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

#include "../film_gaps.h"
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
  bool holds_corner = false;
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
    if (cv::countNonZero(piece(cv::Rect(first, cv::Size(reach, reach)))) <= reach * reach / 3) continue;
    place.holds_corner = true;
    place.corner_depth_px = std::max(place.corner_depth_px, depth_at(piece, corner, inward));
  }
  return place;
}

// Share of a piece's border inside the plate that runs straight along one of the plate's sides: a holder, a
// frame or the scanner's bed draws such borders, a film's edge wanders.
double straight_share(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit) {
  constexpr double kInsideUnits = 0.9;  // as far as the plate's own edge is kept away from
  constexpr double kChordUnits = 3.0;
  constexpr double kMostSlant = 0.07;  // sine
  constexpr double kMostOffUnits = 0.2;
  const double edge = kInsideUnits * px_per_unit;
  const cv::Rect2d inner(edge, edge, size.width - 2.0 * edge, size.height - 2.0 * edge);
  const auto n = outline.size();
  const auto half = static_cast<std::size_t>(std::max(2.0, 0.5 * kChordUnits * px_per_unit));
  if (n < 4 * half) return 0.0;
  int samples = 0;
  int straight = 0;
  for (std::size_t i = 0; i < n; i += std::max<std::size_t>(1, half / 4)) {
    const cv::Point2d at = outline[i];
    const cv::Point2d before = outline[(i + n - half) % n];
    const cv::Point2d after = outline[(i + half) % n];
    if (!inner.contains(at)) continue;
    ++samples;
    const cv::Point2d chord = after - before;
    const double length = std::max(1.0, std::hypot(chord.x, chord.y));
    const double slant = std::min(std::abs(chord.x), std::abs(chord.y)) / length;
    straight +=
        slant < kMostSlant && std::abs(chord.cross(at - before)) / length < kMostOffUnits * px_per_unit;
  }
  return samples > 0 ? static_cast<double>(straight) / samples : 0.0;
}

// How often the border inside the plate turns to and fro, a unit of its length. Turns of less than a sixth of
// a right angle are the grain of the border and do not count.
double raggedness(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit) {
  constexpr double kSmoothUnits = 0.3;
  constexpr double kStepUnits = 0.7;
  constexpr double kLeastTurn = 0.3;  // rad
  const int reach = static_cast<int>(std::lround(kAtBorderUnits * px_per_unit));
  const cv::Rect inner(reach, reach, size.width - 2 * reach, size.height - 2 * reach);
  const int half = std::max(1, static_cast<int>(std::lround(kSmoothUnits * px_per_unit)));
  const int step = std::max(2, static_cast<int>(std::lround(kStepUnits * px_per_unit)));
  const auto n = static_cast<int>(outline.size());
  if (n < 4 * step) return 0.0;
  const auto smoothed = [&](int i) {
    cv::Point2d sum;
    for (int k = -half; k <= half; ++k)
      sum += cv::Point2d(outline[static_cast<std::size_t>((i + k + n) % n)]);
    return sum / (2.0 * half + 1.0);
  };
  double length = 0.0;
  double last_turn = 0.0;
  int alternations = 0;
  for (int i = 0; i < n; i += step) {
    if (!inner.contains(outline[static_cast<std::size_t>(i)])) continue;
    const cv::Point2d before = smoothed(i) - smoothed(i - step);
    const cv::Point2d after = smoothed(i + step) - smoothed(i);
    length += cv::norm(after) / px_per_unit;
    const double turn = std::atan2(before.cross(after), before.dot(after));
    if (std::abs(turn) < kLeastTurn) continue;
    alternations += turn * last_turn < 0.0;
    last_turn = turn;
  }
  return length > 0.0 ? alternations / length : 0.0;
}

// Whether a corner piece ends in a straight line across the corner, as a plate does whose corner was cut off;
// the border of a pour is curved.
bool ends_in_a_cut(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit) {
  constexpr double kNearUnits = 1.5;  // a side
  constexpr double kMostOffShare = 0.04;
  constexpr double kMostOfIt = 0.7;
  constexpr double kLeastSlant = 0.57;  // of the smaller to the larger side: 45 degrees within 15
  const double near = kNearUnits * px_per_unit;
  const cv::Rect box = cv::boundingRect(outline);
  if ((box.x > near && box.br().x < size.width - near) || (box.y > near && box.br().y < size.height - near))
    return false;
  const cv::Rect2d inner(near, near, size.width - 2.0 * near, size.height - 2.0 * near);
  std::vector<cv::Point2f> border;
  for (const cv::Point p : outline)
    if (inner.contains(p)) border.emplace_back(p);
  constexpr std::size_t kEnough = 12;
  if (border.size() < kEnough) return false;
  cv::Vec4f line;
  cv::fitLine(border, line, cv::DIST_L1, 0, 0.01, 0.01);
  const cv::Point2f along(line[0], line[1]);
  std::vector<double> across;
  double from = 0.0;
  double to = 0.0;
  for (const cv::Point2f& p : border) {
    const cv::Point2f off = p - cv::Point2f(line[2], line[3]);
    across.push_back(std::abs(static_cast<double>(along.cross(off))));
    from = std::min(from, static_cast<double>(along.dot(off)));
    to = std::max(to, static_cast<double>(along.dot(off)));
  }
  const auto slant = static_cast<double>(std::min(std::abs(along.x), std::abs(along.y)) /
                                         std::max(std::abs(along.x), std::abs(along.y)));
  const auto on_line = std::count_if(across.begin(), across.end(),
                                     [&](double off) { return off < kMostOffShare * (to - from); });
  return slant > kLeastSlant && static_cast<double>(on_line) > kMostOfIt * static_cast<double>(border.size());
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
    if (place.holds_corner && place.corner_depth_px < kLeastDepthShare * std::min(pieces.rows, pieces.cols))
      continue;
    if (has_cut_corners && ends_in_a_cut(outline, pieces.size(), px_per_unit)) continue;
    const double ragged = raggedness(outline, pieces.size(), px_per_unit);
    const cv::RotatedRect tight = cv::minAreaRect(outline);
    Candidate candidate{.outline_units = in_units(outline, px_per_unit),
                        .area = area,
                        .length = std::max(tight.size.width, tight.size.height) / px_per_unit,
                        .width = std::min(tight.size.width, tight.size.height) / px_per_unit,
                        .contrast = gap ? gap->step : 0.3,
                        .confidence = 0.8};
    if (gap) candidate.log10_nfa = gap->log10_nfa;
    if (!place.at_border)
      candidate.id = "tear_hole";
    else
      candidate.id = place.holds_corner || ragged < kRagged ? "uncovered_corner" : "frilling";
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
