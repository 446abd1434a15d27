#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/core.hpp>

#include "holder_opening.h"
#include "rim_levels.h"
#include "working_tone.h"

namespace platewise {

// Plate edge, bevel and shadow: no film edge is sought there.
constexpr double kUntrustedEdgeHundredths = 0.5;
constexpr double kUnevenFlare = 0.008;  // D, within one piece: light scattered from bright things near

// What dark pieces of a plate are judged in: everything at a coarse size.
struct Ground {
  cv::Mat tone;
  cv::Mat plate;
  cv::Mat inner;  // plate without its edge
  cv::Mat grain;
  cv::Mat texture;
  cv::Mat rise;    // largest rise of the tone across kSharpHundredths
  cv::Mat opened;  // inside the holder's opening; all of it when no rim was seen
  cv::Mat beside;  // rim close to the opening: nearly always film, for the film's edge lies farther out
  cv::Mat holder;  // along the opening's straight sides
  std::array<double, 4> holder_px{};  // depth of the opening's left, top, right and bottom side, 0: not seen
  double hundredth_px = 1.0;
  double least_step = 0.012;  // D
  double film_texture = 0.0;
  double film_spread = 0.0;  // of the tone over the film that is darkest
  double rim_tone = 0.0;
  std::optional<RimLevels> levels;  // of the rim, from at least two sides
  bool rim = false;
  const WorkingTone* working = nullptr;

  [[nodiscard]] int pixels(double hundredths) const {
    return std::max(1, static_cast<int>(std::lround(hundredths * hundredth_px)));
  }
};

// `grain` as of grain_map(), `plate` inside its edge, both at the working size.
[[nodiscard]] Ground ground_of(const WorkingTone& working, const cv::Mat& plate, const cv::Mat& grain,
                               const HolderOpening& opening);

}  // namespace platewise
