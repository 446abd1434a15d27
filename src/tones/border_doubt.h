#pragma once

#include <opencv2/core.hpp>

#include "platewise/core/quantity.h"

namespace platewise {

// The outermost band of what was taken for the picture may be rim, bare support or the ground beside the
// plate, where outline or opening were not quite right. A reading tells how much it hangs on that band.

// `all`: read over the whole picture, `deep`: without its outermost band; `tail_in_band`: share of the places
// beyond the reading (darker than a floor, lighter than a highlight) that lie in the band. Where nearly all
// of them do and the reading moves far, they are not picture: the deep reading is taken. Else the reading
// stays and its u grows with the move.
// `stays`: u per move that then is added.
[[nodiscard]] Quantity doubted_by_border(Quantity all, Quantity deep, double tail_in_band,
                                         double stays = 0.35);

// Share of the finite places of `grid` beyond `reading` that are not finite in `deep`. `denser`: +1 for
// places of higher density, -1 for lower.
[[nodiscard]] double tail_in_band(const cv::Mat& grid, const cv::Mat& deep, double reading, int denser);

// No silver is less than none: what is darker (a negative: clearer) than the covered rim by more than
// `tolerance` is no film with picture. Sets such places to NaN and returns their share of the finite ones;
// leaves the grid alone where they are too many for that, because then the rim is none.
double drop_below_rim(cv::Mat& grid, double rim_density, double silver_sign, double tolerance);

}  // namespace platewise
