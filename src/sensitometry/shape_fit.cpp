#include "shape_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "platewise/stats/least_squares.h"
#include "platewise/stats/monotone.h"

namespace platewise {
namespace {

constexpr Eigen::Index kShared = 4;  // fog, net silver, gradient, middle
constexpr double kHuberReach = 2.0;  // sigmas

Eigen::VectorXd weighted_residuals(const CurveShape& shape, const SilverSteps& data, double scatter,
                                   const Eigen::VectorXd& p) {
  const auto count = static_cast<Eigen::Index>(data.steps.size());
  Eigen::VectorXd r(count + 1 + kShared + shape.forms);
  Eigen::Index next = 0;
  for (const SilverStep& step : data.steps) {
    r(next++) = (shape.silver(p, step.log_exposure) - step.silver) / std::hypot(step.u, scatter);
  }
  r(next++) = data.unexposed ? (p(0) - data.unexposed->value) / std::hypot(data.unexposed->u, scatter) : 0.0;
  const double first = data.steps.front().log_exposure;
  const double last = data.steps.back().log_exposure;
  r(next++) = (p(0) - data.prior.fog.value) / data.prior.fog.u;
  r(next++) = (p(1) - data.prior.log_net_silver.value) / data.prior.log_net_silver.u;
  r(next++) = (p(2) - data.prior.log_gamma.value) / data.prior.log_gamma.u;
  r(next++) = (p(3) - 0.5 * (first + last)) / (1.0 + last - first);
  for (Eigen::Index i = 0; i < shape.forms; ++i) r(next++) = p(kShared + i) / shape.form_sigma;
  return r;
}

// Start from the pooled steps: their ends, and where they pass half way.
Eigen::VectorXd start_parameters(const CurveShape& shape, const SilverSteps& data, double steepness) {
  std::vector<double> silver;
  for (const SilverStep& step : data.steps) silver.push_back(step.silver);
  const std::vector<double> rising = isotonic(silver);
  const double net = std::max(0.05, rising.back() - rising.front());
  const double half = rising.front() + 0.5 * net;
  const auto above = std::find_if(rising.begin(), rising.end(), [half](double s) { return s >= half; });
  const auto index =
      std::min<std::size_t>(static_cast<std::size_t>(above - rising.begin()), data.steps.size() - 1);
  const double length = data.steps.back().log_exposure - data.steps.front().log_exposure;
  Eigen::VectorXd p = Eigen::VectorXd::Zero(kShared + shape.forms);
  p.head(kShared) << rising.front(), std::log(net), std::log(steepness * net / length),
      data.steps[index].log_exposure;
  return p;
}

double log_evidence(const Fit& fit, const CurveShape& shape) {
  const double log_volume = 0.5 * std::log(std::max(1e-300, fit.unit_covariance.determinant()));
  const double log_prior_volume = static_cast<double>(shape.forms) *
                                  (std::log(shape.form_sigma) + 0.5 * std::log(2.0 * std::numbers::pi));
  return -0.5 * fit.sum_of_squares + log_volume +
         0.5 * static_cast<double>(shape.forms) * std::log(2.0 * std::numbers::pi) - log_prior_volume;
}

}  // namespace

ShapeFit fit_shape(const CurveShape& shape, const SilverSteps& data, double scatter) {
  const Residuals residuals = [&](const Eigen::VectorXd& p) {
    return weighted_residuals(shape, data, scatter, p);
  };
  NonlinearOptions options;
  options.huber_reach = kHuberReach;
  options.tolerance = 1e-10;
  options.evaluations_max = 400;
  constexpr std::array kSteepnesses{1.0, 2.5};  // of the whole wedge's mean gradient
  ShapeFit best;
  for (const double steepness : kSteepnesses) {
    const Fit fit = nonlinear_fit(residuals, start_parameters(shape, data, steepness), options);
    const double evidence = log_evidence(fit, shape);
    if (!fit.converged || !fit.unit_covariance.allFinite()) continue;
    if (best.converged && best.log_evidence >= evidence) continue;
    best = {&shape, fit.parameters, fit.unit_covariance, evidence, true};
  }
  return best;
}

}  // namespace platewise
