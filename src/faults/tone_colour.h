#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace platewise {

// Two-channel colours here are log10 of red and of blue over green: what a filter takes out is then the same
// step in lights and darks, and the scanner's white balance a constant.
using Colour = cv::Vec2d;

// A collodion plate is nearly of one colour: silver, film and support make one curve of colour along its
// tones, the same all over the plate.
struct ToneColour {
  std::vector<double> tones;    // silver, rising
  std::vector<Colour> colours;  // of the plate at that tone
  double lights_u = 0.0;  // of the brightest tones' colour, where it was foretold from the middle lights

  [[nodiscard]] Colour at(double tone) const;  // linear between, constant beyond the ends
};

// The curve by vote: at each tone the median over parts of the plate, so that a patch of another colour has
// no more to say than its share of the parts. `tone` CV_32FC1, `colour` CV_32FC2, `known` CV_8UC1. Empty
// where fewer than two tones have enough parts.
[[nodiscard]] ToneColour tone_colour(const cv::Mat& tone, const cv::Mat& colour, const cv::Mat& known);

// The same as lights would look that did not turn blue. Silver over a support mixes two colours, so that each
// channel over the luminance follows the light or its inverse in a line; the brightest tones may be as blue
// as the middle lights are, or as the bluer of these two lines foretells. Unchanged where there are too few
// middle lights to tell.
[[nodiscard]] ToneColour without_blue_lights(const ToneColour& curve);

}  // namespace platewise
