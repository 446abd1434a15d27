#pragma once

#include <array>
#include <filesystem>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "accuracy/plate_colours.h"
#include "accuracy/plate_faults.h"
#include "accuracy/process.h"
#include "accuracy/random.h"
#include "accuracy/scenes.h"
#include "platewise/core/geometry.h"

namespace platewise::heldout {

// How the plate's four corners are left by whoever cut it.
enum class CornerCut { sharp, rounded, clipped, broken };
// Which sides the holder covered.
enum class RimSides { four, three, two, none };

// What to draw; sizes in mm.
struct PlatePlan {
  Process process;
  double width_mm = 83.0;
  double height_mm = 108.0;
  double px_per_mm = 12.0;
  CornerCut corners = CornerCut::sharp;
  RimSides rim = RimSides::four;
  bool bare_corners = true;
  bool film_to_the_edge = false;  // no film edge on the plate: the black rim reaches the cut
  bool dirty = true;              // specks, hairs, pinholes
  bool colour = true;
  std::optional<Subject> subject;  // none: any
  std::vector<WantedFault> faults;
  Colours colours;               // of a colour scan
  bool mark_specks = false;      // list the specks among the marks
  double recording_sigma = 0.0;  // noise of the recording after the aperture, in light; for the marks' truth
};

// A plate in its own millimetres, drawn on a raster that reaches `border_mm` beyond the nominal rectangle.
struct PlateDrawing {
  PlatePlan plan;
  double border_mm = 3.0;
  cv::Mat light;         // CV_32FC3 linear R,G,B reflectance (or transmittance), faults and grain in it
  cv::Mat alpha;         // CV_32FC1 share of the pixel that is plate
  cv::Mat density;       // CV_32FC1 luminance density with grain, without faults
  cv::Mat film;          // CV_8UC1
  cv::Mat picture;       // CV_8UC1 within the film
  cv::Mat rim;           // CV_8UC1 within the film, outside the opening
  cv::Mat never_coated;  // CV_8UC1 on the plate: beyond the film's edge, faults apart
  double support_density = 0.0;
  double bare_area_mm2 = 0.0;
  std::array<bool, 4> bare_corner{};
  std::array<std::vector<Point>, 4> sides_mm;  // top, right, bottom, left as cut, corner zones left out
  std::vector<TrueMark> marks;                 // the faults
  NoiseModel noise;
  std::optional<Polygon> opening_mm;  // the picture's outline, where a rim bounds it on two sides at least
};

[[nodiscard]] PlateDrawing drawn_plate(Random& random, const PlatePlan& plan,
                                       const std::vector<std::filesystem::path>& photographs);

}  // namespace platewise::heldout
