#pragma once

#include "strip_borders.h"

namespace platewise {

// How many strips a picture of log light shows, against those listed. A border that is not listed is seen
// plainly. A listed border that is not seen may still be there: strips that got hardly any light, or far too
// much, look alike. Only where the borders at both ends are strong is there no room for such strips.
struct StripCount {
  int seen = 0;
  bool plain = false;  // another number than listed cannot be right
};
[[nodiscard]] StripCount count_strips(const cv::Mat& log_light, int listed, int rise);

}  // namespace platewise
