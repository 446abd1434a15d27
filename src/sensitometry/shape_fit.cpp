#include "shape_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

#include "platewise/stats/least_squares.h"
#include "platewise/stats/monotone.h"

namespace platewise {
namespace {

constexpr Eigen::Index kShared = 4;  // fog, net silver, gradient, middle
constexpr double kHuberReach = 2.0;  // sigmas

Eigen::VectorXd weighted_residuals(const ShapeFit& fit, const SilverSteps& data, double scatter) {
  const Eigen::VectorXd& p = fit.parameters;
  const CurveShape& shape = *fit.shape;
  const auto count = static_cast<Eigen::Index>(data.steps.size());
  Eigen::VectorXd r(count + 1 + p.size());
  Eigen::Index next = 0;
  for (const SilverStep& step : data.steps) {
    r(next++) = (fit.silver(step.log_exposure) - step.silver) / std::hypot(step.u, scatter);
  }
  r(next++) = data.unexposed ? (p(0) - data.unexposed->value) / std::hypot(data.unexposed->u, scatter) : 0.0;
  const double first = data.steps.front().log_exposure;
  const double last = data.steps.back().log_exposure;
  r(next++) = (p(0) - data.prior.fog.value) / data.prior.fog.u;
  r(next++) = (p(1) - data.prior.log_net_silver.value) / data.prior.log_net_silver.u;
  r(next++) = (p(2) - data.prior.log_gamma.value) / data.prior.log_gamma.u;
  r(next++) = (p(3) - 0.5 * (first + last)) / (1.0 + last - first);
  for (Eigen::Index i = 0; i < shape.forms; ++i) r(next++) = p(kShared + i) / shape.form_sigma;
  for (Eigen::Index i = kShared + shape.forms; i < p.size(); ++i) r(next++) = p(i) / fit.departure.sigma;
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

// Laplace's approximation. Each parameter's own prior volume is taken off for the forms and heights only: the
// shared ones are the same for all shapes.
double log_evidence(const Fit& fit, const ShapeFit& shape_fit) {
  const double log_volume =
      fit.unit_covariance.llt().matrixLLT().diagonal().cwiseMax(1e-300).array().log().sum();
  const double heights = static_cast<double>(shape_fit.departure.centres.size());
  return -0.5 * fit.sum_of_squares + log_volume -
         static_cast<double>(shape_fit.shape->forms) * std::log(shape_fit.shape->form_sigma) -
         heights * std::log(shape_fit.departure.sigma);
}

ShapeFit fit_from(ShapeFit start, const SilverSteps& data, double scatter) {
  const Residuals residuals = [&](const Eigen::VectorXd& p) {
    ShapeFit moved = start;
    moved.parameters = p;
    return weighted_residuals(moved, data, scatter);
  };
  NonlinearOptions options;
  options.huber_reach = kHuberReach;
  options.tolerance = 1e-9;
  options.evaluations_max = 300;
  const Fit fit = nonlinear_fit(residuals, start.parameters, options);
  start.parameters = fit.parameters;
  start.covariance = fit.unit_covariance;
  start.converged = fit.converged && fit.unit_covariance.allFinite();
  start.log_evidence = start.converged ? log_evidence(fit, start) : 0.0;
  return start;
}

}  // namespace

double Departure::at(const Eigen::VectorXd& heights, double log_exposure) const {
  double sum = 0.0;
  for (std::size_t i = 0; i < centres.size(); ++i) {
    const double z = (log_exposure - centres[i]) / width;
    sum += heights(static_cast<Eigen::Index>(i)) * std::exp(-0.5 * z * z);
  }
  return sum;
}

Departure departure_along(const SilverSteps& data) {
  Departure departure;
  constexpr double kSpacing = 0.35;  // log exposure, about a stop
  const double first = data.steps.front().log_exposure;
  const double length = data.steps.back().log_exposure - first;
  const auto gaps = std::max<long>(1, std::lround(length / kSpacing));
  for (long i = 0; i <= gaps; ++i) {
    departure.centres.push_back(first + length * static_cast<double>(i) / static_cast<double>(gaps));
  }
  return departure;
}

double ShapeFit::silver(double log_exposure) const {
  const double of_shape = shape->silver(parameters, log_exposure);
  if (departure.centres.empty()) return of_shape;
  const auto heights = static_cast<Eigen::Index>(departure.centres.size());
  return of_shape + departure.at(parameters.tail(heights), log_exposure);
}

ShapeFit fit_shape(const CurveShape& shape, const SilverSteps& data, double scatter) {
  constexpr std::array kSteepnesses{1.0, 2.5};  // of the whole wedge's mean gradient
  ShapeFit best;
  for (const double steepness : kSteepnesses) {
    ShapeFit start;
    start.shape = &shape;
    start.parameters = start_parameters(shape, data, steepness);
    const ShapeFit fit = fit_from(start, data, scatter);
    if (fit.converged && (!best.converged || fit.log_evidence > best.log_evidence)) best = fit;
  }
  return best;
}

ShapeFit fit_with_departure(const ShapeFit& plain, const SilverSteps& data, double scatter) {
  ShapeFit start = plain;
  start.departure = departure_along(data);
  const auto heights = static_cast<Eigen::Index>(start.departure.centres.size());
  start.parameters.conservativeResize(plain.parameters.size() + heights);
  start.parameters.tail(heights).setZero();
  return fit_from(start, data, scatter);
}

}  // namespace platewise
