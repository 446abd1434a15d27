#pragma once

#include <opencv2/core.hpp>

#include "platewise/core/geometry.h"
#include "platewise/faults/evidence.h"

namespace platewise {

// The picture as marks of flowing liquids are looked for in it: reduced, since these marks are broad, and
// laid so that a mark that runs along the first axis asked for runs along the rows.
struct FlowPicture {
  cv::Mat silver;  // CV_32FC1, mean over each pixel; no value where `known` is 0
  cv::Mat known;   // CV_8UC1, 255 in the picture proper, clear of the holder's shadow
  double px_per_unit = 4.0;
  double floor = 0.0;   // silver of the darkest hundredth of the picture
  double grain = 0.0;   // one sigma of a mean over a block, from the film's grain
  bool turned = false;  // rows of this picture run up and down the plate

  [[nodiscard]] Point on_plate(double column, double row) const {
    const Point at{(column + 0.5) / px_per_unit, (row + 0.5) / px_per_unit};
    return turned ? Point{at.y, at.x} : at;
  }
};

// `turned`: rows and columns change places.
[[nodiscard]] FlowPicture flow_picture(const Evidence& evidence, bool turned);

}  // namespace platewise
