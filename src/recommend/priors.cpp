#include "priors.h"

#include <cassert>
#include <charconv>
#include <cmath>
#include <string>

#include "embedded_data.h"
#include "platewise/core/csv.h"

namespace platewise {
namespace {

double number(const std::string& cell) {
  double value = 0.0;
  [[maybe_unused]] const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  assert(error == std::errc{} && end == cell.data() + cell.size());
  return value;
}

// The row of this kind, else the one for all kinds.
Prior row_of(const Csv& table, std::string_view parameter, std::string_view kind) {
  Prior prior;
  bool found = false;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string& applies_to = table.cell(row, "kind");
    if (table.cell(row, "parameter") != parameter || (applies_to != kind && applies_to != "all")) continue;
    if (found && applies_to == "all") continue;
    prior = {number(table.cell(row, "value")), number(table.cell(row, "sd")),
             table.cell(row, "law") == "lognormal"};
    found = true;
  }
  assert(found);
  return prior;
}

Priors read_priors(std::string_view kind) {
  const Result<Csv> table = parse_csv(data::priors(), "priors.csv");
  assert(table.has_value());
  const auto of = [&](std::string_view parameter) { return row_of(*table, parameter, kind); };
  return {.exposure_error = of("exposure_error"),
          .development_error = of("development_error"),
          .aim_development_time = of("aim_development_time"),
          .largest_silver = of("largest_silver"),
          .curve_slope = of("curve_slope"),
          .curve_asymmetry = of("curve_asymmetry"),
          .growth_rate = of("growth_rate"),
          .growth_rate_after_onset = of("growth_rate_after_onset"),
          .growth_nearly_none_share = of("growth_nearly_none_share"),
          .speed_gain = of("speed_gain"),
          .fog_growth = of("fog_growth"),
          .chemical_fog_share = of("chemical_fog_share"),
          .chemical_fog = of("chemical_fog"),
          .highlight_over_midtone = of("highlight_over_midtone"),
          .midtone_over_floor = of("midtone_over_floor"),
          .light_drift = of("light_drift"),
          .material_drift = of("material_drift"),
          .fog_drift = of("fog_drift"),
          .temperature_rate = of("temperature_rate"),
          .hand_scatter = of("hand_scatter"),
          .hand_scatter_development = of("hand_scatter_development"),
          .blue_lights_from = of("blue_lights_from"),
          .blue_lights_else = of("blue_lights_else")};
}

}  // namespace

double Prior::at(double z) const {
  return lognormal ? value * std::exp(sd * z) : value + sd * z;
}

const Priors& priors(PlateKind kind) {
  static const Priors positive = read_priors("positive");
  static const Priors negative = read_priors("negative");
  return is_positive(kind) ? positive : negative;
}

}  // namespace platewise
