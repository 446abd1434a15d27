#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>
#include <vector>

#include "platewise/core/result.h"
#include "platewise/sensitometry/plate_curve.h"

namespace platewise {

// What made the steps: only words depend on it.
enum class ExposedBy { wedge, strips };

struct CurveOptions {
  ExposedBy exposed_by = ExposedBy::wedge;
  PlateKind kind = PlateKind::negative;
  Quantity support_density;           // bare support, or its stated default with a wide u
  bool support_seen = false;          // false: `support_density` is the default
  std::optional<Quantity> unexposed;  // density of coated film that got no light, when it was seen
  std::optional<double> exposure_s;
  std::optional<double> development_s;
  double shared_log_exposure_u = 0.0;  // of the whole exposure axis
};

// Turns the steps of a developed wedge into the plate's characteristic curve.
// Five curve shapes with toe, straight part and shoulder are fitted (a sigmoid leaning either way, and a
// straight part between a soft toe and a soft shoulder, with or without a knee above it and a foot below),
// steps that lie off by themselves counting less (Huber). Every quantity is the mean over the shapes, each
// weighted by how well it fits; its u holds the scatter of the steps, what the shapes disagree about, and
// weak priors of common practice (prior.h), which rule where the steps say nothing. `model` is the first
// shape. Steps in any order. Fails with fewer than 4 steps, or when silver does not grow with exposure.
[[nodiscard]] Result<PlateCurve> fit_curve(std::vector<CurveStep> steps, const CurveOptions& options);

// Plain least squares of the sigmoid alone, without priors: parameters in the order fog, amplitude, slope,
// middle, asymmetry, and their covariance from the scatter of the points. The starting model is given.
struct ModelFit {
  CurveModel model;
  Eigen::MatrixXd covariance;
  double residual_sd = 0.0;
  bool converged = false;
};
struct ModelFitOptions {
  bool symmetric = false;    // asymmetry stays 1 and is left out of the covariance
  double huber_reach = 0.0;  // density; 0: plain squares
};
[[nodiscard]] ModelFit fit_model(const std::vector<double>& log_exposure, const std::vector<double>& silver,
                                 const CurveModel& start, const ModelFitOptions& options = {});

// A quantity of the model with the standard uncertainty that the fit's covariance gives it (first order).
[[nodiscard]] Quantity from_fit(const ModelFit& fit,
                                const std::function<double(const CurveModel&)>& quantity);

// x from fog + 0.04 to fog + 0.90 of the model's amplitude (ISO 6846).
[[nodiscard]] double log_exposure_range(const CurveModel& model);

}  // namespace platewise
