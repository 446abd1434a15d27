#pragma once

#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/quantity.h"
#include "platewise/core/result.h"
#include "platewise/core/warnings.h"
#include "platewise/raster/image.h"
#include "platewise/read/scan.h"

namespace platewise {

// One step of a wedge as found in a scan.
struct FoundStep {
  Quad outline_px{};  // in the scan, after EXIF orientation
  // Linear signal (full scale 1): robust mean over the middle of the step; u holds the scatter that is left
  // in the mean and the unevenness across the step.
  Quantity signal;
  double pixel_sigma = 0.0;  // of single working pixels within the step
};

// Another way the steps may lie: all of them `shift` steps farther along the row.
struct OtherPlace {
  int shift = 0;
  double probability = 0.0;  // 0..1
};

struct FoundSteps {
  std::vector<FoundStep> steps;          // clear end of the wedge first
  std::vector<OtherPlace> other_places;  // that cannot be ruled out
  double along_deg = 0.0;                // direction from clear to dense end, as seen on the screen
  Warnings warnings;
};

// Which end of the wedge is lighter in the picture: its clear end (a scan of the wedge itself, or a positive
// exposed through it) or its dense end (a negative).
enum class LighterEnd { clear, dense };

struct FindStepsOptions {
  int count = 21;  // steps of the wedge
  std::vector<double>
      densities;  // of the steps, clear end first: used to place a scanned wedge; may be empty
  LighterEnd lighter = LighterEnd::clear;
  // A developed plate has a toe and a shoulder where steps cannot be told apart; a scanned wedge hides steps
  // only where the scanner's range ends.
  bool developed_plate = false;
};

// Finds a row of `count` equally wide patches whose lightness runs one way: any orientation, any small turn,
// with or without borders, numbers, dividing lines and dust. Patches at either end that cannot be told apart
// are placed by the pitch of the others. Fails when no such row is seen, or when the row seen has another
// number of steps.
[[nodiscard]] Result<FoundSteps> find_steps(const Scan& scan, const FindStepsOptions& options);

}  // namespace platewise
