#pragma once

#include <opencv2/core.hpp>
#include <string_view>
#include <vector>

#include "platewise/faults/evidence.h"

namespace platewise {

// How far each place lies from where a plate's parts end, pixels.
struct PlateZones {
  cv::Mat from_edge;  // CV_32FC1: from the plate's edge; 0 beyond
  cv::Mat from_rim;   // CV_32FC1: from the rim, less than 0 on it; empty when no rim was seen
  cv::Mat rise;       // CV_32FC1: of silver within a few pixels
  double px_per_unit = 1.0;
};

[[nodiscard]] PlateZones plate_zones(const Evidence& evidence);

// Where a piece without film lies.
struct FilmPlace {
  bool at_edge = false;          // the plate's
  bool at_rim = false;           // bounded by it for a good part, and not at the plate's edge
  bool holds_corner = false;     // covers the corner itself
  bool spans_corner = false;     // reaches both sides that meet there
  double corner_depth_px = 0.0;  // how far down the corner's diagonal it reaches
};

// `piece` (CV_8UC1, size of the plate) and its outline, each point next to the last.
[[nodiscard]] FilmPlace film_place(const cv::Mat& piece, const std::vector<cv::Point>& outline,
                                   const PlateZones& zones);

struct PieceSize {
  double area = 0.0;    // square units
  double length = 0.0;  // units
  double width = 0.0;
  double step = 0.0;  // silver, across its border; where less rises the border follows noise
  // Its outline is the regions stage's, too rough for a small piece's border to say much.
  bool is_coarse = false;
};

// What missing film is called by its place and border: "uncovered_corner", "frilling" or "tear_hole". Empty
// for a side that the pour merely left short: how much is bare there is told by the coverage. Also for a hole
// too narrow to be more than a bit of another.
[[nodiscard]] std::string_view name_of_missing_film(const FilmPlace& place,
                                                    const std::vector<cv::Point>& outline,
                                                    const PieceSize& size, const PlateZones& zones);

}  // namespace platewise
