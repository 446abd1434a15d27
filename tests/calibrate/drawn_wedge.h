#pragma once

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "platewise/calibrate/wedge.h"
#include "platewise/core/geometry.h"
#include "platewise/read/scan.h"

namespace platewise::drawn {

// A wedge as drawn for these tests, straight into linear light: not the demo's drawing.
struct WedgeDrawing {
  std::vector<double> densities;  // clear end first, from left to right before turning
  int width = 1200;
  int height = 700;
  double along_share = 0.8;       // of the width that the steps take up
  double across_share = 0.25;     // of the height
  double turn_deg = 0.0;          // any
  double surround_density = 0.0;  // of the bed round the wedge
  double rim_share = 0.0;         // film rim round the steps, share of the patch height
  double rim_density = 0.02;
  bool lines = false;    // thin dark lines between steps
  bool numbers = false;  // printed in the steps
  int dust = 0;          // specks
  double gain = 0.95;
  double contrast = 1.0;
  double flare = 0.002;
  double noise = 0.002;  // sigma, share of the root of light
  double dark_noise = 0.0002;
  int bits = 16;             // 8: quantised in the sRGB tone curve
  double light_fall = 0.0;   // share of light lost toward one side
  double perspective = 0.0;  // share by which the far side is shorter
  std::uint64_t seed = 1;
};

[[nodiscard]] std::vector<double> even_densities(int count, double first, double step);
[[nodiscard]] Wedge wedge_of(const std::vector<double>& densities);
[[nodiscard]] Scan draw(const WedgeDrawing& drawing);
// A blank sheet in the same light.
[[nodiscard]] Scan draw_blank(const WedgeDrawing& drawing);
// Centre of step k in the drawn scan.
[[nodiscard]] Point centre_of(const WedgeDrawing& drawing, int k);

}  // namespace platewise::drawn
