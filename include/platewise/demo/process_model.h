#pragma once

#include "platewise/core/plate.h"

namespace platewise {

// How the synthetic world makes a plate: light -> silver -> density. It is the truth that renderings carry,
// and deliberately another family of curves than the one the program fits (sensitometry/plate_curve.h).
//
// Silver. tau is the transmission density of the silver layer. Grains need a few light quanta each to become
// developable, so with u = 10^(x - p) quanta per grain on average the developable share is the Poisson tail
//   hit(k, u) = 1 - exp(-u) sum_{i<k} u^i / i!          (grain-hit theory; Silberstein 1922, from memory)
//   tau(x)    = fast_silver hit(3, 10^(x - fast_point)) + slow_silver hit(1, 10^(x - slow_point))
// x = log10 exposure. The defaults follow the traced iron-developed iodide plate of handbook/numbers.csv
// (READ, third-party tracing of a 1998 paper) within 0.06 D: a short toe, slope about 1.3, a long soft
// shoulder.
//
// Development. factor f = development time / right time. Nothing shows before `onset`; afterwards
//   growth(f) = 1 + growth_after_onset (g(f) - 1),  g(f) = (1 - exp(-r (f - onset))) / (1 - exp(-r (1 -
//   onset)))
// multiplies tau: growth_after_onset = 0 is the plate whose image is up and hardly grows any more.
//   chemical fog in image silver s: fog_at_right_time f^fog_power + extra_fog
// is everywhere on the film, rim included; camera flare is light, and only inside the picture.
//
// Density. A positive is black support that silver lightens (coverage model, handbook/process.md 5d):
//   R = silver_reflectance (1 - 10^-tau) + support_reflectance 10^(-2 tau),  D = -log10 R
// a negative darkens: D = support + tau. Image silver s = support - D or D - support.
struct ProcessParameters {
  PlateKind kind = PlateKind::tintype;

  double fast_silver = 0.87;  // fitted to the traced curve, see above
  double fast_point = 0.84;
  double slow_silver = 0.64;
  double slow_point = 2.26;

  double onset = 0.40;              // first image at 6 s of 15 s (numbers.csv, READ/PRACTICE)
  double growth_after_onset = 0.5;  // between "gamma grows" and "nothing grows": unknown, so varied
  double growth_rate = 3.0;         // per right time; PRACTICE
  double fog_at_right_time = 0.06;  // the contract's definition of right development
  double fog_power = 1.8;           // PRACTICE
  double extra_fog = 0.0;           // bath, acid or darkroom light: independent of time
  double camera_flare = 0.006;      // share of the mean image light that falls everywhere in the picture

  double support_density = 1.35;     // PRACTICE; 0.04 for glass by transmitted light
  double silver_reflectance = 0.42;  // PRACTICE 0.25-0.50
  double grain = 0.018;              // sigma of tau at tau = 1 in an aperture of 1/12 mm
};

// Ordinary material of each kind.
[[nodiscard]] ProcessParameters ordinary_process(PlateKind kind);

// Silver of the image alone (no fog) after exposing 10^log_exposure and developing `factor` right times.
[[nodiscard]] double image_silver_tau(const ProcessParameters& process, double log_exposure, double factor);

// Chemical fog as image silver s (density units) at that development.
[[nodiscard]] double chemical_fog(const ProcessParameters& process, double factor);

// Image silver s of a layer tau, and back. s = support - D (positive) or D - support (negative).
[[nodiscard]] double silver_of_tau(const ProcessParameters& process, double tau);
[[nodiscard]] double tau_of_silver(const ProcessParameters& process, double silver);

// Density of the plate: image plus chemical fog.
[[nodiscard]] double plate_density(const ProcessParameters& process, double log_exposure, double factor);
[[nodiscard]] double density_of_tau(const ProcessParameters& process, double tau);

// The largest net density this material gives at the right time: density over fog of a negative, whole
// lightening of the support of a positive.
[[nodiscard]] double largest_net_density(const ProcessParameters& process);

// The log exposure that a highlight (98th percentile) must get so that it sits at 90% of that: the aim of the
// contract. Exposure errors of renderings are counted from here.
[[nodiscard]] double right_highlight_log_exposure(const ProcessParameters& process);

}  // namespace platewise
