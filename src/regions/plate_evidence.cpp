#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "bare_support.h"
#include "holder_opening.h"
#include "plate_edge.h"
#include "platewise/regions/find_regions.h"

namespace platewise {
namespace {

// One dark straight strip is seen in many photographs: a wall, a window, a black bar. Two of one tone, or one
// with a rounded corner, are the holder's.
double evidence_of_rim(const HolderOpening& opening, const WorkingTone& working) {
  constexpr double kOneSide = 0.4;
  constexpr double kSmallestRounding = 1.5;  // hundredths
  if (opening.side_count() == 0) return 0.0;
  bool rounded = false;
  for (std::size_t corner = 0; corner < 4; ++corner) {
    rounded = rounded || (opening.corner_seen[corner] &&
                          opening.radius_px[corner] > kSmallestRounding * working.hundredth_px);
  }
  if (opening.side_count() == 1 && !rounded) return kOneSide * opening.confidence;
  return opening.confidence;
}

double evidence_of_bare_support(const cv::Mat& bare) {
  constexpr double kOneCorner = 0.6;
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

}  // namespace

double plate_evidence(const DensityImage& frame, PlateKind kind) {
  const WorkingTone working = working_tone(frame, kind);
  const cv::Mat inside = inside_plate_edge(working);
  const HolderOpening opening = holder_opening(working, inside);
  const cv::Mat bare = bare_support(working, inside, grain_map(frame, working), opening);
  return 1.0 - (1.0 - evidence_of_rim(opening, working)) * (1.0 - evidence_of_bare_support(bare));
}

}  // namespace platewise
