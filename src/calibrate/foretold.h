#pragma once

#include <optional>
#include <vector>

#include "comb.h"

namespace platewise {

enum class RowEnd { clear, dense };

// What the listed densities say about the tones of a row of steps, by light = flare + gain * 10^-density.
// `steps` and `densities` go together, lightest first.

// Log light by which the step at one end misses what the steps inward foretell. Empty where they cannot, or
// where the step is at full scale.
[[nodiscard]] std::optional<double> off_foretold(std::vector<Tooth> steps, std::vector<double> densities,
                                                 RowEnd end);

// Whether a patch beyond the lightest step has the tone of one more step of the row; `maybe` where a film's
// bare bed has that tone too. At the dense end that could not be told: all dense grounds look alike there.
enum class StepBefore { no, maybe, yes };
[[nodiscard]] StepBefore step_before(const Tooth& beyond, std::vector<Tooth> steps,
                                     std::vector<double> densities);

// Whether the count of steps cannot be seen at the dense end: the densest step looks like its ground, or the
// patch beyond it has the tone of one more step.
[[nodiscard]] bool count_hidden_beyond(const Tooth& beyond, std::vector<Tooth> steps,
                                       std::vector<double> densities);

// Whether the row stops falling at once where its densest steps look like the ground: falls of tone get
// smaller step by step where the scanner goes blind. `bits` of the scan: few codes tell falls less well.
[[nodiscard]] bool ends_in_ground(const std::vector<Tooth>& steps, const std::vector<double>& densities,
                                  int bits);

// Density by which the steps miss a smooth curve through the others (rms). Empty when too few can be used.
[[nodiscard]] std::optional<double> off_the_others(const std::vector<Tooth>& steps,
                                                   const std::vector<double>& densities);

}  // namespace platewise
