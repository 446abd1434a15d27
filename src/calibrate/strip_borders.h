#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// Borders of a strip plate in a picture of log light whose strips lie one after another along +x.
// `rises[k]` is +1 where the picture gets lighter across border k, -1 where it gets darker. The strips are
// roughly, not exactly, equally wide. `clearness` tells how well borders in that direction are seen, to be
// compared with those of the other direction.
struct StripBorders {
  std::vector<double> at;     // x of each border
  std::vector<double> gains;  // how far the change across each stands out of the picture's noise
  double clearness = 0.0;
};
[[nodiscard]] StripBorders strip_borders(const cv::Mat& log_light, const std::vector<int>& rises);

// Width of the windows on either side of a border that are compared, and of the gap to it, px.
struct BorderWindow {
  int gap = 1;
  int width = 3;
};
[[nodiscard]] BorderWindow border_window(int picture_width);

// log light right of x minus left of it, one value for each of `blocks` stretches of the border.
[[nodiscard]] std::vector<double> changes_across(const cv::Mat& log_light, double x, int blocks);

}  // namespace platewise
