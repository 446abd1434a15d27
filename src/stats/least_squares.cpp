#include "platewise/stats/least_squares.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <unsupported/Eigen/NonLinearOptimization>

namespace platewise {
namespace {

constexpr double kRefused = 1e150;  // stands in for a residual that is not finite
// First step at most as long as the start itself: MINPACK's customary 100 throws far starts onto flats.
constexpr double kFirstStepBound = 1.0;

// What Eigen's minimiser asks for.
struct WeightedResiduals {
  const Residuals& residuals;
  const Eigen::VectorXd& root_weights;
  Eigen::Index count;

  [[nodiscard]] int values() const { return static_cast<int>(count); }

  [[nodiscard]] Eigen::VectorXd at(const Eigen::VectorXd& parameters) const {
    Eigen::VectorXd value = residuals(parameters).cwiseProduct(root_weights);
    if (!value.allFinite()) value.setConstant(kRefused);
    return value;
  }
  int operator()(const Eigen::VectorXd& parameters, Eigen::VectorXd& value) const {
    value = at(parameters);
    return 0;
  }
  int df(const Eigen::VectorXd& parameters, Eigen::MatrixXd& jacobian) const {
    jacobian = derivatives([this](const Eigen::VectorXd& p) { return at(p); }, parameters);
    return jacobian.allFinite() ? 0 : -1;
  }
};

Eigen::MatrixXd inverse_of_normal_matrix(const Eigen::MatrixXd& jacobian) {
  const Eigen::VectorXd lengths = jacobian.colwise().norm().transpose().cwiseMax(1e-300);
  const Eigen::MatrixXd scaled = jacobian * lengths.cwiseInverse().asDiagonal();
  const Eigen::Index n = jacobian.cols();
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(scaled);
  const Eigen::MatrixXd r = qr.matrixR().topLeftCorner(n, n).template triangularView<Eigen::Upper>();
  const Eigen::MatrixXd inverse = r.triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(n, n));
  const Eigen::MatrixXd rows = qr.colsPermutation() * inverse;
  return lengths.cwiseInverse().asDiagonal() * (rows * rows.transpose()) *
         lengths.cwiseInverse().asDiagonal();
}

Eigen::VectorXd huber_root_weights(const Eigen::VectorXd& residuals, double reach) {
  return residuals.unaryExpr(
      [reach](double r) { return std::abs(r) <= reach ? 1.0 : std::sqrt(reach / std::abs(r)); });
}

Fit fit_with_weights(const Residuals& residuals, const Eigen::VectorXd& start,
                     const Eigen::VectorXd& root_weights, const NonlinearOptions& options) {
  WeightedResiduals problem{residuals, root_weights, root_weights.size()};
  Eigen::LevenbergMarquardt<WeightedResiduals> minimiser(problem);
  minimiser.parameters.maxfev = options.evaluations_max;
  minimiser.parameters.ftol = options.tolerance;
  minimiser.parameters.xtol = options.tolerance;
  minimiser.parameters.gtol = 0.0;
  minimiser.parameters.factor = kFirstStepBound;
  Eigen::VectorXd parameters = start;
  const auto status = minimiser.minimize(parameters);
  namespace State = Eigen::LevenbergMarquardtSpace;
  Fit fit;
  fit.parameters = parameters;
  fit.converged = status != State::ImproperInputParameters && status != State::NotStarted &&
                  status != State::UserAsked && status != State::TooManyFunctionEvaluation;
  return fit;
}

}  // namespace

std::optional<Fit> linear_fit(const Eigen::MatrixXd& design, const Eigen::VectorXd& observed) {
  const Eigen::VectorXd lengths = design.colwise().norm().transpose().cwiseMax(1e-300);
  const Eigen::MatrixXd scaled = design * lengths.cwiseInverse().asDiagonal();
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(scaled);
  qr.setThreshold(1e-15);
  if (qr.rank() < design.cols()) return std::nullopt;
  Eigen::VectorXd solution = qr.solve(observed);
  solution += qr.solve(observed - scaled * solution);  // one refinement wins back lost digits
  Fit fit;
  fit.parameters = solution.cwiseQuotient(lengths);
  fit.unit_covariance = inverse_of_normal_matrix(design);
  fit.sum_of_squares = (observed - scaled * solution).squaredNorm();
  fit.degrees_of_freedom = static_cast<int>(design.rows() - design.cols());
  fit.converged = true;
  return fit;
}

Eigen::MatrixXd derivatives(const std::function<Eigen::VectorXd(const Eigen::VectorXd&)>& function,
                            const Eigen::VectorXd& at) {
  constexpr double kRelativeStep = 6e-6;  // cube root of the double's epsilon
  Eigen::MatrixXd result;
  for (Eigen::Index i = 0; i < at.size(); ++i) {
    const double size = std::abs(at(i));
    const double step = kRelativeStep * (size > 0.0 ? size : 1.0);
    Eigen::VectorXd above = at;
    Eigen::VectorXd below = at;
    above(i) += step;
    below(i) -= step;
    const Eigen::VectorXd column = (function(above) - function(below)) / (above(i) - below(i));
    if (i == 0) result.resize(column.size(), at.size());
    result.col(i) = column;
  }
  return result;
}

Fit nonlinear_fit(const Residuals& residuals, const Eigen::VectorXd& start, const NonlinearOptions& options) {
  Eigen::VectorXd root_weights = Eigen::VectorXd::Ones(residuals(start).size());
  Fit fit = fit_with_weights(residuals, start, root_weights, options);
  constexpr int kReweightingsMax = 60;
  const double settled = std::sqrt(options.tolerance);
  for (int i = 0; options.huber_reach > 0.0 && fit.converged && i < kReweightingsMax; ++i) {
    root_weights = huber_root_weights(residuals(fit.parameters), options.huber_reach);
    const Eigen::VectorXd before = fit.parameters;
    fit = fit_with_weights(residuals, before, root_weights, options);
    if ((fit.parameters - before).norm() <= settled * before.norm()) break;
  }
  const WeightedResiduals problem{residuals, root_weights, root_weights.size()};
  fit.sum_of_squares = problem.at(fit.parameters).squaredNorm();
  fit.degrees_of_freedom = static_cast<int>(root_weights.size() - start.size());
  const Eigen::MatrixXd jacobian =
      derivatives([&problem](const Eigen::VectorXd& p) { return problem.at(p); }, fit.parameters);
  fit.converged = fit.converged && jacobian.allFinite() && fit.sum_of_squares < kRefused;
  fit.unit_covariance = inverse_of_normal_matrix(jacobian);
  return fit;
}

}  // namespace platewise
