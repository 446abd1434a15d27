#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"

namespace platewise {

// One step of a developed wedge or strip plate. Log exposure is relative: 0 at the wedge's clear end for the
// exposure given. Density as measured on the plate.
struct CurveStep {
  double log_exposure = 0.0;
  double density = 0.0;
  double u = 0.0;
};

// Image silver against log exposure as an asymmetric sigmoid (Richards' generalised logistic):
//   s(x) = fog + amplitude / (1 + exp(-slope (x - middle)))^asymmetry
// s, fog, amplitude in density; x = log10 exposure. Positive for both kinds (lightening or darkening).
struct CurveModel {
  double fog = 0.0;
  double amplitude = 1.0;
  double slope = 3.0;
  double middle = 0.0;
  double asymmetry = 1.0;

  [[nodiscard]] double silver(double log_exposure) const;
  [[nodiscard]] double gradient(double log_exposure) const;    // ds/dx
  [[nodiscard]] double log_exposure_for(double silver) const;  // NaN outside (fog, fog + amplitude)

  // The steepest point: its log exposure, and the gradient there (gamma after Hurter & Driffield 1890: the
  // slope of the straight part).
  [[nodiscard]] double steepest_log_exposure() const;
  [[nodiscard]] double gamma() const;
  // Where the tangent at the steepest point cuts the fog level (inertia, Hurter & Driffield 1890).
  [[nodiscard]] double inertia_log_exposure() const;
};

// The characteristic curve of the photographer's own material at one development time. All quantities but
// the two densities are of image silver s (positive for both kinds: support - D or D - support).
//   fog                       s without exposure
//   gamma                     greatest gradient ds/dx (Hurter & Driffield 1890)
//   speed_point_log_exposure  x where s = fog + 0.10 (ISO 6)
//   average_gradient          mean gradient from the speed point to 1.30 further (ISO 6); for a positive 0.65
//                             further, its useful scale (common practice)
//   exposure_scale            x from s = fog + 0.04 to fog + 0.90 of the net silver at the strongest exposure
//                             of the wedge (after ISO 6846)
//   max_density, min_density  of the plate, between no exposure and the strongest exposure of the wedge
struct PlateCurve {
  PlateKind kind = PlateKind::tintype;
  std::optional<double> development_s;
  std::optional<double> exposure_s;
  std::vector<CurveStep> steps;
  std::optional<Quantity> support_density;
  Quantity fog;
  Quantity gamma;
  Quantity average_gradient;
  Quantity speed_point_log_exposure;
  Quantity exposure_scale;
  Quantity max_density;
  Quantity min_density;
  CurveModel model;
  double residual = 0.0;         // rms distance of the steps from the model, density
  bool shoulder_reached = true;  // false: the material can give more than the wedge's strongest exposure did
  bool toe_reached = true;       // false: fog is extrapolated
  double shared_log_exposure_u = 0.0;  // of the whole exposure axis (hand-timed strips)
  Warnings warnings;
};

}  // namespace platewise
