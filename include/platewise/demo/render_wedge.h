#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/plate.h"
#include "platewise/demo/plate_options.h"
#include "platewise/write/write_picture.h"

namespace platewise {

// A step wedge of known densities on a scanner or table. Steps rise in density from left to right before the
// wedge is turned by angle_deg (counter-clockwise; 90, 180, 270 and anything between).
struct WedgeOptions {
  std::uint64_t seed = 1;
  int steps = 21;
  double first_density = 0.05;  // of step 1, base included
  double step_density = 0.15;   // the common wedge: 21 steps of half a stop (reference/step_wedges.csv)
  double tolerance = 0.01;      // real wedges differ from nominal; the wedge's list has the true values
  Light light = Light::transmitted;
  double step_width_mm = 6.0;
  double step_height_mm = 14.0;
  double border_mm = 4.0;    // clear or white edge round the steps; 0 for none
  bool dark_border = false;  // black film round the steps instead
  bool numbers = true;
  bool dividing_lines = true;
  int dust = 30;
  double grain = 0.01;  // sigma of density at density 1 in 1/12 mm
  double px_per_mm = 12.0;
  Medium medium = Medium::black_bed;  // black_bed, white_lid or phone_photo
  double angle_deg = 0.6;
  double surround_mm = 10.0;
  PhotoOptions photo;
  DeviceModel device;  // a gain above 1 saturates the light end
  bool jpeg = false;
};

struct DrawnStep {
  int number = 1;
  double density = 0.0;       // visual, as the scanner should read it
  double blue_density = 0.0;  // as a blue-sensitive plate sees it
  double signal = 0.0;        // the device's true linear signal for it
  Quad corners_px{};          // of the step itself: top left of the unturned wedge first
};

struct WedgeRendering {
  cv::Mat pixels;
  PictureFormat format;
  std::vector<DrawnStep> steps;
  std::string wedge_csv;  // step,density,blue_density
  std::string truth_json;
};

[[nodiscard]] WedgeRendering render_wedge(const WedgeOptions& options);

// The blank sheet in the same light and framing, for --flat.
[[nodiscard]] cv::Mat render_wedge_blank_sheet(const WedgeOptions& options);

// A wedge scan as photographers make them, everything varied by the seed.
[[nodiscard]] WedgeOptions varied_wedge(std::uint64_t seed);

// The list that comes with a wedge: `step,density,blue_density`.
[[nodiscard]] std::string wedge_csv(const std::vector<double>& densities,
                                    const std::vector<double>& blue_densities);

}  // namespace platewise
