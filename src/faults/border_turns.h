#pragma once

#include <functional>
#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// How a border winds: torn film ends in many small bows, a pour in one wide one.
struct BorderTurns {
  int to_and_fro = 0;         // times it turns the other way than it turned before
  double length_units = 0.0;  // of the border looked at

  [[nodiscard]] double per_unit() const { return length_units > 0.0 ? to_and_fro / length_units : 0.0; }
};

// Of the part of a closed outline (pixels, each next to the last) that lies in `part`. Turns of less than
// a sixth of a right angle are the grain of the border and do not count.
[[nodiscard]] BorderTurns border_turns(const std::vector<cv::Point>& outline,
                                       const std::function<bool(cv::Point)>& part, double px_per_unit);

// Bays of film that reach into the piece, steep on both sides: torn film has several, while where a pour ends
// its edge swings slowly.
[[nodiscard]] int steep_bays(const std::vector<cv::Point>& outline, double px_per_unit);

}  // namespace platewise
