#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "accuracy/plate_drawing.h"
#include "accuracy/random.h"

namespace platewise::heldout {

// Fills a polygon given in millimetres; the raster's (0,0) lies at (-border, -border) mm. CV_8UC1,
// antialiased.
[[nodiscard]] cv::Mat filled(const Polygon& outline_mm, cv::Size size, double px_per_mm, double border_mm);

// The plate as cut: four wandering sides with chips.
struct CutPlate {
  std::array<std::vector<Point>, 4> sides_mm;  // whole sides, in turn, clockwise
  Polygon outline_mm;
};
[[nodiscard]] CutPlate cut_plate(Random& random, const PlatePlan& plan);

// The edge where the collodion ends: sums of sines and a walk, bare corners bitten out.
struct FilmEdge {
  Polygon outline_mm;
  std::vector<Polygon> bites_mm;
  std::array<bool, 4> bare_corner{};
};
[[nodiscard]] FilmEdge film_edge(Random& random, const PlatePlan& plan);

// The holder's opening: a polygon with separately drawn corners; sides without a rim lie outside the plate.
[[nodiscard]] Polygon holder_opening(Random& random, const PlatePlan& plan);

}  // namespace platewise::heldout
