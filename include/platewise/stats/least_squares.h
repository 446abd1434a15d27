#pragma once

#include <Eigen/Core>
#include <functional>
#include <optional>

namespace platewise {

// A fit and how well its parameters are known.
struct Fit {
  Eigen::VectorXd parameters;
  // Covariance for residuals of unit variance, (J^T J)^-1 of the weighted residuals. Multiply by
  // `residual_variance` when the residuals' own scatter is to set the scale.
  Eigen::MatrixXd unit_covariance;
  double sum_of_squares = 0.0;
  int degrees_of_freedom = 0;
  bool converged = false;

  [[nodiscard]] double residual_variance() const {
    return degrees_of_freedom > 0 ? sum_of_squares / degrees_of_freedom : 0.0;
  }
};

// Minimises |design p - observed|^2 by QR with column pivoting after scaling the columns to unit length.
// Empty when the columns are linearly dependent to the precision of a double.
[[nodiscard]] std::optional<Fit> linear_fit(const Eigen::MatrixXd& design, const Eigen::VectorXd& observed);

// Residuals, each divided by its standard uncertainty, for a set of parameters. Must be finite near the
// start; where they are not, the step is refused.
using Residuals = std::function<Eigen::VectorXd(const Eigen::VectorXd& parameters)>;

struct NonlinearOptions {
  int evaluations_max = 2000;
  double tolerance = 1e-14;  // relative, on parameters and on the sum of squares
  // Residuals beyond this count by their size instead of their square (Huber 1964). 0: plain squares.
  double huber_reach = 0.0;
};

// Minimises the sum of squared residuals from `start` by Levenberg and Marquardt's method in the MINPACK
// form (More 1978) with central-difference derivatives. `converged` is false when the evaluations ran
// out or the derivatives were not finite.
[[nodiscard]] Fit nonlinear_fit(const Residuals& residuals, const Eigen::VectorXd& start,
                                const NonlinearOptions& options = {});

// Derivatives of a vector function by central differences: rows are values, columns parameters.
[[nodiscard]] Eigen::MatrixXd derivatives(
    const std::function<Eigen::VectorXd(const Eigen::VectorXd&)>& function, const Eigen::VectorXd& at);

}  // namespace platewise
