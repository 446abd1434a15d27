#pragma once

#include <opencv2/core.hpp>
#include <optional>

#include "platewise/faults/evidence.h"
#include "tone_colour.h"

namespace platewise {

// How far each place of a plate is off the colour that its tone has elsewhere. Pictures have the size of
// Evidence::colour.
struct ColourCast {
  cv::Mat off;       // CV_32FC2: log10 of red and blue over green, less the plate's own; 0 where not known
  cv::Mat smooth;    // the same, mean over about a millimetre
  cv::Mat known;     // CV_8UC1: film without glare, off the sharp edges of the picture
  cv::Mat film;      // CV_8UC1: the same with the edges
  cv::Mat picture;   // CV_8UC1: of the film, what the lens drew
  cv::Mat tone;      // CV_32FC1 silver
  cv::Mat u;         // CV_32FC1 of either colour: compression, and what an uncertain tone makes of it
  ToneColour curve;  // which `off` is off
  double px_per_unit = 1.0;
};

// Empty for a grey scan, a photo through a plate (what lies behind it has colours of its own), and where too
// little of the plate is known.
[[nodiscard]] std::optional<ColourCast> colour_cast(const Evidence& evidence);

// Rise of a CV_32FC1 tone across a pixel.
[[nodiscard]] cv::Mat steepness(const cv::Mat& tone);

// Mean over size x size pixels where known; 0 where less than a quarter of the aperture is.
[[nodiscard]] cv::Mat mean_known(const cv::Mat& picture, const cv::Mat& known, int size);

}  // namespace platewise
