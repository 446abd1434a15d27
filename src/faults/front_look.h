#pragma once

#include <vector>

#include "front_path.h"
#include "platewise/faults/detector.h"

namespace platewise {

// Rows of a path in each column.
[[nodiscard]] std::vector<double> along_columns(const FrontPath& path, int width_px, int columns);

// Means over rows [y + from, y + to] per column, smoothed over `smooth_px` columns; NaN where not known.
[[nodiscard]] std::vector<double> profile_beside(const FlowPicture& picture, const std::vector<double>& row,
                                                 double from_px, double to_px, int smooth_px);

// Correlation of two profiles after the slow part (over `slow_px` columns) is taken away; 0 when too little
// is known of both. A process mark lies over the scene, which is seen on both sides of it and through it; an
// edge of the scene ends one thing and begins another.
[[nodiscard]] double likeness(const std::vector<double>& a, const std::vector<double>& b, int slow_px);

// A band along a front, in plate units, over the columns where the picture is known beside it.
[[nodiscard]] Candidate band_along(const FlowPicture& picture, const std::vector<double>& row,
                                   double half_width_units);

}  // namespace platewise
