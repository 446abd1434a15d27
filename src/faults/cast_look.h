#pragma once

#include <opencv2/core.hpp>

#include "cast_patches.h"

namespace platewise {

// Where tones stand between the plate's deepest (0) and its brightest (1), in silver.
[[nodiscard]] double tone_share(const ColourCast& cast, double share);

// Share of an area's border that lies on tone steps as only a quarter of what lies beside it does: about 1/4
// where it lies across the picture as a stain does, near 1 where it ends with the picture's outlines as a
// tinted cloth does. 0 for a border too short to tell.
[[nodiscard]] double border_on_outlines(const ColourCast& cast, const cv::Mat& area);

// Of the border of an area, the share that has tones up to `brightest` on both sides.
[[nodiscard]] double border_between_darks(const ColourCast& cast, const cv::Mat& area, double brightest);

// How far the tones from `low` to `high` within an area are off their colour along `direction`, unit length;
// empty where there are too few.
[[nodiscard]] std::optional<double> off_between(const ColourCast& cast, const cv::Mat& area,
                                                const Colour& direction, double low, double high);

// How much of its colour an area has in tones other than its own, where it has such within its outline: about
// 1 for a stain, which lies over all tones; near 0 for a thing of one tone that was painted. 1 where it has
// too few.
[[nodiscard]] double in_other_tones(const ColourCast& cast, const cv::Mat& area, const Colour& mean);

// The middle one of an area's pixels against their mean, along the mean: near 1 for a haze, less for a group
// of dots.
[[nodiscard]] double evenness(const ColourCast& cast, const cv::Mat& area, const Colour& mean);

// Share of an area's pixels within `reach` units of the plate's edge.
[[nodiscard]] double share_at_edge(const ColourCast& cast, const cv::Mat& area, double reach);

}  // namespace platewise
