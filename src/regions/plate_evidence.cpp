#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "bare_support.h"
#include "corner_turn.h"
#include "grain_map.h"
#include "holder_opening.h"
#include "plate_edge.h"
#include "platewise/regions/find_regions.h"

namespace platewise {
namespace {

// Whether the border of a side turns at either end, into a neighbouring side that the frame may cut off.
bool turns_at_an_end(const HolderOpening& opening, const WorkingTone& working, const cv::Mat& inside) {
  for (const Edge edge : {Edge::top, Edge::right, Edge::bottom, Edge::left}) {
    const auto& line = opening.sides[static_cast<std::size_t>(edge)];
    if (!line) continue;
    const SideView view = side_view(working, inside, edge);
    for (const SideEnd end : {SideEnd::first, SideEnd::last}) {
      if (corner_turn(view, *line, working, end) > 0.0) return true;
    }
  }
  return false;
}

// One dark straight strip is seen in many photographs: a wall, a window, a black bar. Two of one tone, or one
// with a rounded corner, are the holder's.
double evidence_of_rim(const HolderOpening& opening, const WorkingTone& working, const cv::Mat& inside) {
  constexpr double kOneSide = 0.4;
  if (opening.side_count() == 0) return 0.0;
  if (opening.side_count() > 1 || turns_at_an_end(opening, working, inside)) return opening.confidence;
  return kOneSide * opening.confidence;
}

// Tones that a plate's support or unexposed rim can have, with the doubt of an unknown scanner: support of a
// positive is 1.35 +- 0.15 D and glass 0.04 D (common practice, no source).
double like_support(double tone, PlateKind kind) {
  constexpr double kLightestSupport = 0.8;  // D of a positive, veiled and under a bright lamp
  constexpr double kDarkestSupport = 2.1;   // D of a positive: a screen's black is darker
  constexpr double kDensestGlass = 0.6;     // D of a negative, fogged
  constexpr double kDoubt = 0.2;
  const double inside =
      is_positive(kind) ? std::min(-tone - kLightestSupport, kDarkestSupport + tone) : kDensestGlass - tone;
  return std::clamp(1.0 + inside / kDoubt, 0.0, 1.0);
}

double middle_in(const cv::Mat& image, const cv::Mat& where) {
  std::vector<float> values;
  for (int y = 0; y < where.rows; y += 2) {
    for (int x = 0; x < where.cols; x += 2) {
      if (where.at<std::uint8_t>(y, x) != 0) values.push_back(image.at<float>(y, x));
    }
  }
  return quantile(values, 0.5);
}

// A drawn page or screen is flat where it is even; whatever was scanned or photographed is noisy.
double like_scanned(const cv::Mat& grain, const cv::Mat& where) {
  constexpr double kNoNoise = 0.0004;  // D
  constexpr double kSomeNoise = 0.0010;
  return std::clamp((middle_in(grain, where) - kNoNoise) / (kSomeNoise - kNoNoise), 0.0, 1.0);
}

double evidence_of_bare_support(const cv::Mat& bare) {
  constexpr double kOneCorner = 0.5;  // one dark corner is seen in many photographs, two seldom
  double none = 1.0;
  const int reach = std::max(1, std::min(bare.rows, bare.cols) / 20);
  for (const int x : {0, bare.cols - reach}) {
    for (const int y : {0, bare.rows - reach}) {
      const double share =
          cv::countNonZero(bare(cv::Rect(x, y, reach, reach))) / static_cast<double>(reach * reach);
      if (share > 0.5) none *= 1.0 - kOneCorner;
    }
  }
  return 1.0 - none;
}

double evidence_of_corners(const RoundedCorners& corners) {
  constexpr double kOneCorner = 0.4;
  return 1.0 - std::pow(1.0 - kOneCorner, corners.count);
}

// A mere fall of light has neither rim nor picture, whatever its dark end looks like: somewhere the tone must
// step, if only from rim to picture.
bool has_any_detail(const WorkingTone& working) {
  constexpr double kLeastDetail = 0.012;  // density; a veil of 0.02 D against the rim shows more
  constexpr double kShare = 0.05;
  cv::Mat fine;
  cv::Mat broad;
  cv::GaussianBlur(working.smooth, fine, {0, 0}, 2.0, 2.0, cv::BORDER_REPLICATE);
  cv::GaussianBlur(working.smooth, broad, {0, 0}, 8.0, 8.0, cv::BORDER_REPLICATE);
  const cv::Mat detail = cv::abs(fine - broad) > kLeastDetail;
  return cv::countNonZero(detail) > kShare * static_cast<double>(detail.total());
}

}  // namespace

double plate_evidence(const DensityImage& frame, PlateKind kind) {
  const WorkingTone working = working_tone(frame, kind);
  if (!has_any_detail(working)) return 0.0;
  const cv::Mat inside = inside_plate_edge(working);
  const HolderOpening opening = holder_opening(working, inside);
  const cv::Mat grain = grain_map(frame, working);
  const cv::Mat bare = bare_support(ground_of(working, inside, grain, opening));
  double of_rim = evidence_of_rim(opening, working, inside);
  if (of_rim > 0.0) of_rim *= like_support(opening.rim_tone, kind);
  double of_bare = evidence_of_bare_support(bare);
  if (of_bare > 0.0)
    of_bare *= like_support(middle_in(working.smooth, bare), kind) * like_scanned(grain, bare);
  const RoundedCorners corners = rounded_corners(working, inside);
  double of_corners = evidence_of_corners(corners);
  if (of_corners > 0.0) of_corners *= like_support(corners.tone, kind);
  return 1.0 - (1.0 - of_rim) * (1.0 - of_bare) * (1.0 - of_corners);
}

}  // namespace platewise
