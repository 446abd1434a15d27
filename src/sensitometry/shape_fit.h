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

// How far a real curve may stray from a shape within the wedge: a sum of smooth bumps with small priors.
struct Departure {
  std::vector<double> centres;  // log exposure; empty: the shape as it is
  double width = 0.3;           // one sigma of a bump, log exposure
  double sigma = 0.03;          // prior of a bump's height, density

  [[nodiscard]] double at(const Eigen::VectorXd& heights, double log_exposure) const;
};
[[nodiscard]] Departure departure_along(const SilverSteps& data);

struct ShapeFit {
  const CurveShape* shape = nullptr;
  Departure departure;
  Eigen::VectorXd parameters;  // of the shape, then the heights of the departure
  Eigen::MatrixXd covariance;
  double log_evidence = 0.0;  // Laplace's approximation, up to a constant that all shapes share
  bool converged = false;

  [[nodiscard]] double silver(double log_exposure) const;
};

// Fits one shape by weighted least squares with its priors. `scatter` (density) is added to every step's u in
// squares: unevenness from step to step.
[[nodiscard]] ShapeFit fit_shape(const CurveShape& shape, const SilverSteps& data, double scatter);
// The same with a departure, starting from the fit without.
[[nodiscard]] ShapeFit fit_with_departure(const ShapeFit& plain, const SilverSteps& data, double scatter);

}  // namespace platewise
