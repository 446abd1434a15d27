#pragma once

#include <vector>

#include "search_image.h"
#include "straight_lines.h"

namespace platewise {

// Along a line, where it looks like the edge of something that lies on one side of it: the tone just inside
// differs from the ground just outside by several sigmas of that ground, and the ground is level there (a
// shadow's slope is no edge). Asked for both sides of the line, because either may be the outside.
struct EdgeWeights {
  double supported = 0.0;    // log likelihood ratio of a place that looks like an edge
  double unsupported = 0.0;  // and of one that does not (negative)
};

class SideEvidence {
 public:
  SideEvidence(const SearchImage& search, const Line& line);

  [[nodiscard]] const Line& line() const { return line_; }
  [[nodiscard]] int length() const { return static_cast<int>(places_[0].size()) - 1; }

  // Of [from, to) along the line: how many pixels look like such an edge, and how many could be asked (there
  // is room for ground before the picture's frame). `outside_after`: the ground lies on the side of growing
  // coordinates (below a level line, right of a steep one).
  struct Count {
    double asked = 0.0;
    double supported = 0.0;
    [[nodiscard]] double share() const { return asked > 0 ? supported / asked : 0.0; }
  };
  [[nodiscard]] Count count(bool outside_after, double from, double to) const;

  // The stretch of the line that looks most like an edge.
  struct Stretch {
    double log_likelihood = 0.0;  // ratio, counting every pixel
    bool outside_after = false;
    std::size_t first = 1;  // places counted from 1
    std::size_t end = 1;
  };
  [[nodiscard]] Stretch best_stretch(const EdgeWeights& weights) const;

  // The line moved onto the edge within that stretch, whatever lies beyond it.
  [[nodiscard]] Line fitted(const Stretch& stretch) const;

 private:
  struct Place {
    Count before;           // of all places up to and with this one
    float edge_row = 0.0F;  // across the line; NaN where there is no edge
  };
  Line line_;
  std::vector<Place> places_[2];  // ground before, ground after
};

}  // namespace platewise
