#pragma once

#include <vector>

namespace platewise {

// A run of equally wide patches in a line of values, each darker (lower) than the one before.
//   patch k covers start + k pitch .. start + (k+1) pitch, k = 0 .. patches-1
struct StepRun {
  double score = 0.0;  // sum over the borders of how clearly their two sides differ
  double start_px = 0.0;
  double pitch_px = 0.0;
  int patches = 0;
};

// Looks for the run with the clearest borders. `values` are log light; not finite where there is none.
// Pitches from `pitch_min_px` to `pitch_max_px`. A run of less than 4 patches is returned with patches 0.
// A border counts by the difference of the means of its two sides, over the scatter within them; borders that
// run the wrong way or are not there count against the run.
[[nodiscard]] StepRun clearest_run(const std::vector<double>& values, double pitch_min_px,
                                   double pitch_max_px);

}  // namespace platewise
