#pragma once

#include <string_view>

#include "platewise/core/plate.h"

namespace platewise {

// One row of data/priors.csv.
struct Prior {
  double value = 0.0;
  double sd = 0.0;
  bool lognormal = false;

  // The parameter at `z` standard deviations from the middle.
  [[nodiscard]] double at(double z) const;
};

// All that is believed of a material and a photographer before a plate is seen. Meaning, unit and source of
// each: data/priors.csv. To add one: a row there, a field here, its line in read_priors.
struct Priors {
  Prior exposure_error;
  Prior development_error;
  Prior aim_development_time;
  Prior largest_silver;
  Prior curve_slope;
  Prior curve_asymmetry;
  Prior growth_rate;
  Prior growth_rate_after_onset;
  Prior growth_nearly_none_share;
  Prior speed_gain;
  Prior fog_growth;
  Prior chemical_fog_share;
  Prior chemical_fog;
  Prior highlight_over_midtone;
  Prior midtone_over_floor;
  Prior light_drift;
  Prior material_drift;
  Prior fog_drift;
  Prior temperature_rate;
  Prior hand_scatter;
  Prior hand_scatter_development;
  Prior blue_lights_from;
  Prior blue_lights_else;
};

[[nodiscard]] const Priors& priors(PlateKind kind);

}  // namespace platewise
