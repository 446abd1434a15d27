#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "colour_cast.h"
#include "platewise/core/geometry.h"

namespace platewise {

// Colours are told by their angle: 0 lacks red (cyan), 66 is blue, -35 green, -100 yellow, -125 rust, 170
// pink.
[[nodiscard]] double hue_deg(const Colour& off);

struct HueRange {
  double from_deg = 0.0;
  double to_deg = 0.0;  // may pass 180
  [[nodiscard]] bool holds(double deg) const;
};

// A part of the plate that is off its tones' colour in one direction.
struct CastPatch {
  cv::Rect box;    // pixels of the colour picture
  cv::Mat inside;  // CV_8UC1 of the box, small gaps filled
  Colour mean;     // of `off`
  double area_px = 0.0;
  double log10_nfa = 0.0;
};

// Patches of at least 5 mm2 whose colour lies in `hues` and stands out by more than the plate's scatter.
// NFA = places x sizes x hues that were tried, times the chance that an area of this size is so far off: its
// mean over the robust scatter of means over areas as large, elsewhere on the plate.
[[nodiscard]] std::vector<CastPatch> cast_patches(const ColourCast& cast, const HueRange& hues);

// log10 NFA of an area of the plate (CV_8UC1 of its size) with this mean.
[[nodiscard]] double log10_nfa_of(const ColourCast& cast, const cv::Mat& area, const Colour& mean);

// Mean of `off` where `where` and the plate's colour is known; 0 for an empty one.
[[nodiscard]] Colour mean_off(const ColourCast& cast, const cv::Mat& where);

// The outline round the largest part of a mask, in plate units.
[[nodiscard]] Polygon outline_units(const cv::Mat& inside, cv::Point origin, double px_per_unit);

}  // namespace platewise
