#pragma once

#include <vector>

#include "platewise/core/geometry.h"
#include "search_image.h"

namespace platewise {

// A line that is rather level (y = offset + slope * x) or rather steep (x = offset + slope * y), |slope|
// <= 1.
struct Line {
  bool steep = false;
  double offset = 0.0;
  double slope = 0.0;

  // Position across at the place `along` (x of a level line, y of a steep one).
  [[nodiscard]] double across(double along) const { return offset + slope * along; }
  [[nodiscard]] Point at(double along) const {
    return steep ? Point{across(along), along} : Point{along, across(along)};
  }
};

[[nodiscard]] Point intersection(const Line& level, const Line& steep);
[[nodiscard]] Line line_through(Point a, Point b, bool steep);

struct StraightLines {
  std::vector<Line> level;
  std::vector<Line> steep;
};

// The straightest edges of the picture, at most `count` of each direction, by a Hough vote in which every
// edge pixel votes only near its own direction and a faint edge in a quiet place counts as much as a strong
// one (magnitudes are relative to the geometric mean around).
[[nodiscard]] StraightLines straight_lines(const SearchImage& search, std::size_t count);

}  // namespace platewise
