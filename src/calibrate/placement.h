#pragma once

#include <vector>

#include "step_row.h"

namespace platewise {

// Where the wedge's steps lie on a found row: some patches may be background that happened to go on with the
// row, and steps beyond those told apart may be hidden at either end.
struct Placement {
  int first = 0;      // comb number of the lightest step; the row's own first patch is 0
  double cost = 0.0;  // what speaks against it; 1.5 and more: not believable
};

struct PlacementOptions {
  int count = 21;
  std::vector<double> densities;  // lightest step first; empty when unknown
  bool hidden_steps = false;      // steps may be alike at either end whatever their light (toe and shoulder)
};

// Costs of all placements that keep all but two of the row's patches, cheapest first.
[[nodiscard]] std::vector<Placement> placements(const StepRow& row, const PlacementOptions& options);

}  // namespace platewise
