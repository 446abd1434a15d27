#pragma once

#include <array>
#include <optional>

#include "platewise/core/geometry.h"
#include "side_line.h"

namespace platewise {

// The opening of the plate holder as the rim shows it: a straight border on each side that has a rim, and
// how far each inner corner is rounded. Working pixels. Sides are indexed by Edge, corners by Corner.
struct HolderOpening {
  std::array<std::optional<SideLine>, 4> sides;
  // An outer band that has the rim's tone but shows no border: rim or dark scene, nobody can say.
  std::array<double, 4> doubtful_px{};
  std::array<double, 4> radius_px{};
  std::array<bool, 4> corner_seen{};  // both sides there and the corner's outline borne out
  double rim_tone = 0.0;
  double rim_spread = 0.0;
  double contrast = 0.0;
  double confidence = 0.0;  // that there is a rim at all

  [[nodiscard]] int side_count() const;
};

[[nodiscard]] HolderOpening holder_opening(const WorkingTone& working, const cv::Mat& plate);

// The opening's outline in working pixels, rounded corners as short chords; sides without a rim follow the
// plate's own edge. `without_doubtful` leaves out the bands that may be rim.
[[nodiscard]] Polygon outline_of(const HolderOpening& opening, const WorkingTone& working,
                                 bool without_doubtful = false);

// Rounds the corners of `opening` from what is seen in them.
void round_corners(HolderOpening& opening, const WorkingTone& working);

}  // namespace platewise
