#pragma once

#include <opencv2/core.hpp>
#include <optional>

#include "holder_opening.h"
#include "rim_levels.h"
#include "working_tone.h"

namespace platewise {

constexpr double kClearHundredths = 0.5;  // masks for measurement keep this far from each other

// What was seen of the plate, all at the working size.
struct Seen {
  WorkingTone working;
  HolderOpening opening;
  cv::Mat plate;
  std::optional<RimLevels> rim;
  cv::Mat bare;
  cv::Mat film;
  cv::Mat glare;
};

// Masks of the working size.
[[nodiscard]] cv::Mat eroded(const cv::Mat& mask, int radius);
[[nodiscard]] cv::Mat filled(const Polygon& outline, cv::Size size);

// The rim's tone at every place.
[[nodiscard]] cv::Mat rim_tone_of(const Seen& seen);

// The exposed picture, clear of its borders.
[[nodiscard]] cv::Mat picture_core(const Seen& seen);

// What the opening's outline takes for picture, though it has the rim's tone or a darker one and hangs
// together with the rim: the film may end there, or the scene be empty.
[[nodiscard]] cv::Mat like_rim_at_edge(const Seen& seen, const cv::Mat& picture);

}  // namespace platewise
