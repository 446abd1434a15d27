#pragma once

#include <vector>

#include "step_row.h"

namespace platewise {

// Where the wedge's steps lie on a found row: some patches may be background that happened to go on with the
// row, and steps beyond those told apart may be hidden at either end.
struct Placement {
  int first = 0;      // comb number of the lightest step; the row's own first patch is 0
  double cost = 0.0;  // what speaks against it; 1.5 and more: not believable
  // The parts of the cost, for telling what is wrong.
  double wrong_way = 0.0;  // steps that are lighter than the one before, or alike where they should not be
  double ends = 0.0;       // first and last step do not end where the row does
  double left_over = 0.0;  // patches of the row that are no steps and do not look like the ground either
  double densities = 0.0;  // the steps do not go with the listed densities
  bool sure_by_tones = false;  // the listed densities go far better with these steps than with any other
  bool maybe_a_step_before = false;  // the ground before the lightest step has the tone of one more step
  bool count_hidden_beyond = false;  // the dense end does not show how many steps there are
};

struct PlacementOptions {
  int count = 21;
  int bits = 16;                  // of the scan: 8-bit files hide steps in the dark
  std::vector<double> densities;  // lightest step first; empty when unknown
  bool hidden_steps = false;      // steps may be alike at either end whatever their light (toe and shoulder)
};

// Costs of all placements that keep all but two of the row's patches, cheapest first.
[[nodiscard]] std::vector<Placement> placements(const StepRow& row, const PlacementOptions& options);

}  // namespace platewise
