#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "curve_shape.h"
#include "platewise/core/quantity.h"
#include "platewise/sensitometry/prior.h"

namespace platewise {

// Silver of the steps as the shapes are fitted to it.
struct SilverStep {
  double log_exposure = 0.0;
  double silver = 0.0;
  double u = 0.0;
};

struct SilverSteps {
  std::vector<SilverStep> steps;      // log exposure rising
  std::optional<Quantity> unexposed;  // silver of film that got no light
  CurvePrior prior;
};

struct ShapeFit {
  const CurveShape* shape = nullptr;
  Eigen::VectorXd parameters;
  Eigen::MatrixXd covariance;
  double log_evidence = 0.0;  // Laplace's approximation, up to a constant that all shapes share
  bool converged = false;

  [[nodiscard]] double silver(double log_exposure) const { return shape->silver(parameters, log_exposure); }
};

// Fits one shape by weighted least squares with its priors. `scatter` (density) is added to every step's u in
// squares: what no shape can follow.
[[nodiscard]] ShapeFit fit_shape(const CurveShape& shape, const SilverSteps& data, double scatter);

}  // namespace platewise
