#include "gap_outline.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>
#include <vector>

#include "mask_pieces.h"
#include "plate_masks.h"
#include "platewise/stats/robust.h"
#include "support_tone.h"

namespace platewise {
namespace {

// The lower quartile over the border: nowhere should it lie in noise. Where the plate goes on beyond.
double steepness_of(const cv::Mat& inside, cv::Rect window, const GapGround& ground) {
  std::vector<std::vector<cv::Point>> outlines;
  cv::findContours(inside.clone(), outlines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE, window.tl());
  const cv::Rect safe(2, 2, ground.smooth.cols - 4, ground.smooth.rows - 4);
  const auto goes_on = [&](cv::Point at) {
    return safe.contains(at) && cv::countNonZero(ground.inner(cv::Rect(at.x - 2, at.y - 2, 5, 5))) == 25;
  };
  std::vector<double> rises;
  for (const auto& outline : outlines)
    for (const cv::Point at : outline) {
      if (!goes_on(at)) continue;
      const auto silver = [&](int dx, int dy) { return ground.smooth.at<float>(at + cv::Point(dx, dy)); };
      rises.push_back(std::hypot(silver(1, 0) - silver(-1, 0), silver(0, 1) - silver(0, -1)));
    }
  if (rises.empty()) return 0.0;
  return quantile(rises, 0.25);
}

// Without bits that the cut leaves beside it.
cv::Mat largest_of(const cv::Mat& mask) {
  const std::vector<MaskPiece> pieces = pieces_of(mask);
  const auto largest =
      std::max_element(pieces.begin(), pieces.end(),
                       [](const MaskPiece& a, const MaskPiece& b) { return a.area_px < b.area_px; });
  cv::Mat inside = cv::Mat::zeros(mask.size(), CV_8UC1);
  if (largest != pieces.end()) paint(*largest, inside, 255);
  return inside;
}

struct Cut {
  cv::Mat inside;
  double steepness = 0.0;
};

// Where `within` lies below one of a series of levels from `middle` upwards, the steepest of not less than
// `least_area` that is steeper than `start`.
Cut steepest_cut(const cv::Mat& within, cv::Rect window, double middle, double least_area, Cut start,
                 const GapGround& ground) {
  constexpr int kLevels = 8;
  const cv::Mat smooth = ground.smooth(window);
  const double top = quantile_in(smooth, within, 0.98);
  Cut best = std::move(start);
  for (int i = 1; i < kLevels; ++i) {
    cv::Mat below = within & (smooth < middle + (top - middle) * i / kLevels);
    below = largest_of(below);
    const int area = cv::countNonZero(below);
    if (area == 0 || area < least_area) continue;
    const double steepness = steepness_of(below, window, ground);
    if (steepness > best.steepness) best = {below, steepness};
  }
  return best;
}

}  // namespace

cv::Mat cut_where_steepest(const DarkPlace& place, const GapGround& ground) {
  constexpr double kPlainlySteeper = 1.2;
  constexpr double kMostCutOff = 0.5;
  const Cut as_it_is{place.inside, kPlainlySteeper * steepness_of(place.inside, place.window, ground)};
  return steepest_cut(place.inside, place.window, place.tone.middle,
                      kMostCutOff * cv::countNonZero(place.inside), as_it_is, ground)
      .inside;
}

cv::Mat seen_sharply(const cv::Mat& piece, const GapGround& ground) {
  constexpr double kReachUnits = 1.5;
  constexpr double kLeastGrains = 1.5;  // five sigma of the rise over the smoothed pixels
  constexpr double kMostCutOff = 0.5;
  constexpr double kAnyStep = 1.0;
  const int reach = static_cast<int>(std::lround(kReachUnits * ground.px_per_unit));
  const cv::Mat near = grown_by(piece, cv::Mat::ones(2 * reach + 1, 2 * reach + 1, CV_8U));
  const cv::Rect window = cv::boundingRect(near);
  const double emptiest = quantile_in(ground.smooth(window), piece(window), 0.1);
  const Cut cut =
      steepest_cut(near(window) & ground.inner(window), window, emptiest,
                   kMostCutOff * cv::countNonZero(piece), {{}, kLeastGrains * ground.grain}, ground);
  if (cut.inside.empty() || !piece_tone(ground.smooth, cut.inside, window, kAnyStep).is_even) return {};
  // A border that lies elsewhere is another thing's.
  constexpr double kLeastInCommon = 0.45;
  const int common = cv::countNonZero(cut.inside & piece(window));
  if (common < kLeastInCommon * cv::countNonZero(cut.inside | piece(window))) return {};
  cv::Mat inside = cv::Mat::zeros(piece.size(), CV_8UC1);
  cut.inside.copyTo(inside(window));
  return inside;
}

}  // namespace platewise
