#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// Borders of bare pieces that no film has: straight ones. Outlines are closed, in pixels of a plate of the
// given size, each point next to the last.

// Share of a piece's border inside the plate that runs straight along one of the plate's sides: a holder, a
// frame or the scanner's bed draws such borders, a film's edge wanders.
[[nodiscard]] double straight_share(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit);

// Whether a corner piece ends in a straight line across the corner, as a plate does whose corner was cut off;
// the border of a pour is curved.
[[nodiscard]] bool ends_in_a_cut(const std::vector<cv::Point>& outline, cv::Size size, double px_per_unit);

}  // namespace platewise
