#include "orientation.h"

#include <opencv2/core.hpp>

namespace platewise {

OrientationSteps steps_of(int orientation) {
  constexpr OrientationSteps kSteps[] = {{false, false, false}, {true, false, false}, {true, true, false},
                                         {false, true, false},  {false, false, true}, {false, true, true},
                                         {true, true, true},    {true, false, true}};
  return orientation >= 1 && orientation <= 8 ? kSteps[orientation - 1] : kSteps[0];
}

cv::Mat turned(const cv::Mat& stored, const OrientationSteps& steps) {
  if (stored.empty()) return stored;
  cv::Mat picture = stored;
  if (steps.flips_cols || steps.flips_rows) {
    constexpr int kAroundBoth = -1;
    constexpr int kUpsideDown = 0;
    constexpr int kLeftRight = 1;
    const int way = steps.flips_cols && steps.flips_rows ? kAroundBoth
                    : steps.flips_rows                   ? kUpsideDown
                                                         : kLeftRight;
    cv::Mat flipped;
    cv::flip(picture, flipped, way);
    picture = flipped;
  }
  if (steps.swaps_axes) {
    cv::Mat swapped;
    cv::transpose(picture, swapped);
    picture = swapped;
  }
  return picture;
}

LinearImage turned(LinearImage stored, const OrientationSteps& steps) {
  stored.luminance = turned(stored.luminance, steps);
  stored.darkest = turned(stored.darkest, steps);
  stored.lightest = turned(stored.lightest, steps);
  stored.rgb = turned(stored.rgb, steps);
  return stored;
}

}  // namespace platewise
