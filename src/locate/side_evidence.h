#pragma once

#include <vector>

#include "search_image.h"
#include "straight_lines.h"

namespace platewise {

// Along a line, where it looks like the edge of something that lies on one side of it: the tone just inside
// differs from the ground just outside by several sigmas of that ground, and the ground is level there (a
// shadow's slope is no edge). Asked for both sides of the line, because either may be the outside.
class SideEvidence {
 public:
  SideEvidence(const SearchImage& search, const Line& line);

  [[nodiscard]] const Line& line() const { return line_; }
  [[nodiscard]] int length() const { return static_cast<int>(supported_before_[0].size()) - 1; }

  // Share of [from, to) along the line that is such an edge; `outside_after` when the ground lies on the side of
  // growing coordinates (below a level line, right of a steep one). 0 for an empty stretch.
  [[nodiscard]] double share(bool outside_after, double from, double to) const;

 private:
  Line line_;
  std::vector<float> supported_before_[2];  // running counts: ground before, ground after
};

}  // namespace platewise
