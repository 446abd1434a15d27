#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/density/plate_density.h"
#include "platewise/raster/image.h"
#include "platewise/regions/regions.h"

namespace platewise {

// How the plate was handled, as far as its maker says; edges as seen upright from the film side.
struct Handling {
  std::optional<Edge> dip_edge;        // entered the silver bath first
  std::optional<Corner> drain_corner;  // the collodion ran off there last
};

// An edge of the picture between two even levels, and how soft it is.
struct PictureEdge {
  cv::Point at;
  float softness_px = 0.0F;
};

// What every detector gets, computed once. Silver grows towards the lights for both kinds of plate
// (-density on a positive, density on a negative), so that a bare spot is always a low value.
struct Evidence {
  PlateKind kind = PlateKind::tintype;
  double px_per_unit = 1.0;
  bool millimetres = true;
  cv::Mat silver;        // CV_32FC1; outside the film: the nearest film's value
  cv::Mat plate_silver;  // CV_32FC1, also where there is no film; beyond the plate: the nearest value
  // CV_32FC1 of the lightest source value in each pixel (positives; densest for negatives).
  cv::Mat most_silver;
  cv::Mat least_silver;  // CV_32FC1
  Mask film;             // where a finding counts: film and picture without glare, a little inside its edge
  double grain = 0.0;    // one sigma of a single pixel, robust over the whole film
  std::vector<PictureEdge> picture_edges;  // sharpest first
  std::optional<double> softness_px;  // of the picture's sharpest edges; empty when it has too few to tell
  ColourImage colour;                 // empty for a grey scan
  Handling handling;
  const Regions* regions = nullptr;       // never null; outlives the detectors
  const DensityErrors* errors = nullptr;  // of the plate's density; outlives the detectors
};

[[nodiscard]] Evidence gathered(const PlateDensity& plate, const Regions& regions, PlateKind kind,
                                bool millimetres);

}  // namespace platewise
