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
};

// The characteristic curve of the photographer's own material at one development time.
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
  double shared_log_exposure_u = 0.0;  // of the whole exposure axis (hand-timed strips)
  Warnings warnings;
};

}  // namespace platewise
