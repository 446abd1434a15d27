#pragma once

#include <array>
#include <vector>

#include "platewise/core/geometry.h"
#include "search_image.h"

namespace platewise {

constexpr double kSideSeen = 0.5;  // of a side supported: the side is seen

// A quadrilateral that may be the plate's outline.
struct OutlineCandidate {
  Quad corners{};  // search pixels: top left, top right, bottom right, bottom left of the scan
  std::array<double, 4> support{};  // share of each side seen as an edge: top, right, bottom, left
  std::array<bool, 4> at_frame{};   // the side is the picture's own frame: the plate may go on beyond it
  bool reaches_over = false;        // a side was moved to the frame: see overhang.h
  double quality = 0.0;   // 1: every place of every side is seen, and nothing goes on beyond the corners
  double going_on = 0.0;  // loss of quality by sides that continue beyond the corners
  double log_likelihood = 0.0;  // for "these are its sides" against "these lines are chance"

  [[nodiscard]] int sides_seen() const;
};

// All quadrilaterals that the picture's straight edges form and that their sides support, best first; among
// nested ones the outermost that is supported comes before those inside it.
[[nodiscard]] std::vector<OutlineCandidate> outline_candidates(const SearchImage& search);

}  // namespace platewise
