#pragma once

#include <array>
#include <opencv2/core.hpp>

#include "dark_lines.h"

namespace platewise {

// What a dark line looks like, measured in the band of picture straightened along it. px, silver.
struct LineLook {
  double depth = 0.0;               // of the mean profile below its nearer flank
  double width_px = 0.0;            // at half of the depth
  double agreeing = 0.0;            // share of the pixels of length that are darker than both flanks
  double lopsided = 0.0;            // difference of the two flanks over the depth: an edge, not a line
  double lopsided_here = 0.0;       // the same within short pieces, median
  double wiggle_px = 0.0;           // robust sigma of the pieces' own middles about the smooth spine
  std::array<double, 2> goes_on{};  // share beyond either end that still looks like the line
  std::array<bool, 2> joined{};     // an end meets something broad that is as dark: a twig its branch
};

// The same line, its spine moved onto the darkest of the picture with a parabola: the search knows it to a
// pixel or two only.
[[nodiscard]] DarkLine centred(const cv::Mat& silver, DarkLine line);

// The longest stretch of the line that is really darker than both flanks: the search also follows what comes
// by chance beyond an end.
[[nodiscard]] DarkLine trimmed(const cv::Mat& silver, DarkLine line);

[[nodiscard]] LineLook look_of(const cv::Mat& silver, const DarkLine& line, double beyond_px);

}  // namespace platewise
