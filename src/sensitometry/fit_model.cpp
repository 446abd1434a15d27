#include <cmath>

#include "platewise/sensitometry/fit_curve.h"
#include "platewise/stats/least_squares.h"

namespace platewise {
namespace {

Eigen::VectorXd parameters_of(const CurveModel& model, bool symmetric) {
  Eigen::VectorXd p(symmetric ? 4 : 5);
  p.head(4) << model.fog, model.amplitude, model.slope, model.middle;
  if (!symmetric) p(4) = model.asymmetry;
  return p;
}

CurveModel model_of(const Eigen::VectorXd& p) {
  return {p(0), p(1), p(2), p(3), p.size() > 4 ? p(4) : 1.0};
}

}  // namespace

ModelFit fit_model(const std::vector<double>& log_exposure, const std::vector<double>& silver,
                   const CurveModel& start, const ModelFitOptions& options) {
  const Residuals residuals = [&](const Eigen::VectorXd& p) {
    const CurveModel model = model_of(p);
    Eigen::VectorXd r(static_cast<Eigen::Index>(silver.size()));
    for (std::size_t i = 0; i < silver.size(); ++i) {
      r(static_cast<Eigen::Index>(i)) = model.silver(log_exposure[i]) - silver[i];
    }
    return r;
  };
  NonlinearOptions nonlinear;
  nonlinear.huber_reach = options.huber_reach;
  const Fit fit = nonlinear_fit(residuals, parameters_of(start, options.symmetric), nonlinear);
  ModelFit result;
  result.model = model_of(fit.parameters);
  result.covariance = fit.unit_covariance * fit.residual_variance();
  result.residual_sd = std::sqrt(fit.residual_variance());
  result.converged = fit.converged;
  return result;
}

Quantity from_fit(const ModelFit& fit, const std::function<double(const CurveModel&)>& quantity) {
  const bool symmetric = fit.covariance.rows() == 4;
  const auto as_vector = [&](const Eigen::VectorXd& p) {
    return Eigen::VectorXd::Constant(1, quantity(model_of(p)));
  };
  const Eigen::MatrixXd gradient = derivatives(as_vector, parameters_of(fit.model, symmetric));
  return {quantity(fit.model), std::sqrt((gradient * fit.covariance * gradient.transpose())(0, 0))};
}

double log_exposure_range(const CurveModel& model) {
  constexpr double kOverFog = 0.04;        // ISO 6846
  constexpr double kShareOfLargest = 0.9;  // ISO 6846
  return model.log_exposure_for(model.fog + kShareOfLargest * model.amplitude) -
         model.log_exposure_for(model.fog + kOverFog);
}

}  // namespace platewise
