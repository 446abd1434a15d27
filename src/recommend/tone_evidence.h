#pragma once

#include <optional>

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"
#include "platewise/tones/tones.h"
#include "process_model.h"

namespace platewise {

// What the tones of one plate say about silver, each with its own uncertainty. Only differences that do not
// hang on the unknown offset of an uncalibrated scan.
struct ToneEvidence {
  std::optional<Quantity> range;              // highlight - floor
  std::optional<Quantity> midtone_range;      // midtone - floor
  std::optional<Quantity> floor_over_margin;  // floor - fog
  std::optional<Quantity> fog;                // margin against support
  std::optional<Quantity> floor;              // floor against support, where the margin was not measured
  std::optional<double> empty_shadow_fraction;
  std::optional<double> blocked_highlight_fraction;
};
[[nodiscard]] ToneEvidence tone_evidence(const Tones& tones, PlateKind kind, bool light_leak);

// What the model itself may be wrong by, over and above measurement (no source; chosen on simulated
// photographers of another curve family, tests/recommend/photographers.cpp).
struct ModelError {
  double range = 0.04;
  double range_share = 0.0;  // of the largest silver: films are not poured equally thick
  double shadow = 0.02;
  double fog = 0.01;
};

// Student's t with few degrees of freedom instead of a Gaussian: one wild tone shall not rule the rest.
[[nodiscard]] double log_density(double residual, double u);

[[nodiscard]] double tones_log_likelihood(const ToneEvidence& tones, const ExpectedTones& expected,
                                          const ModelError& off);

}  // namespace platewise
