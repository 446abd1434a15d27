#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "accuracy/camera.h"
#include "accuracy/photographs.h"
#include "accuracy/plate_faults.h"
#include "platewise/core/plate.h"

namespace platewise::heldout {

// A scan of a plate with drawn faults, and what is true of it. Millimetres are the plate's own.
struct FaultRendering {
  PictureFile file;
  PlateKind kind = PlateKind::tintype;
  double width_mm = 0.0;
  double height_mm = 0.0;
  Quad corners_px{};
  Camera camera;  // scan pixels from millimetres
  std::vector<TrueMark> marks;
  cv::Mat never_coated;  // CV_8UC1: support that no fault made bare; (0,0) lies at (-border, -border) mm
  double raster_px_per_mm = 12.0;
  double border_mm = 3.0;
  std::string subject;
  bool clean = false;
  bool line_rich = false;
  std::string story;  // one line for people
};

struct FaultPlan {
  std::uint64_t seed = 40;
  std::vector<std::string> only;  // faults to draw; empty: all that can be drawn, in turn
};

// The index-th plate: of six, one is clean, one clean and full of lines, four carry one to three kinds of
// fault, half of those with everyday specks too. Contrasts from 1 to 10 times the noise, evenly in logarithm.
[[nodiscard]] FaultRendering fault_rendering(const FaultPlan& plan, int index,
                                             const std::vector<std::filesystem::path>& photographs);

}  // namespace platewise::heldout
