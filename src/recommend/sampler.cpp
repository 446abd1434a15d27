#include "sampler.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <vector>

#include "platewise/stats/random.h"

namespace platewise {
namespace {

struct Cloud {
  Eigen::MatrixXd draws;  // one a column
  Eigen::VectorXd log_likelihood;
};

// A state so far out that it cannot be reckoned is no truth.
double reckoned(const LogLikelihood& log_likelihood, const Eigen::VectorXd& z) {
  constexpr double kImpossible = -1e9;
  const double value = log_likelihood(z);
  return std::isfinite(value) ? value : kImpossible;
}

Eigen::VectorXd weights_for(const Eigen::VectorXd& log_likelihood, double power) {
  Eigen::VectorXd weights = (power * (log_likelihood.array() - log_likelihood.maxCoeff())).exp();
  return weights / weights.sum();
}

double effective_share(const Eigen::VectorXd& weights) {
  return 1.0 / (weights.squaredNorm() * static_cast<double>(weights.size()));
}

// The largest step in power, up to `left`, that keeps half of the draws effective.
double next_step(const Eigen::VectorXd& log_likelihood, double left) {
  constexpr double kEffectiveShare = 0.5;
  if (effective_share(weights_for(log_likelihood, left)) >= kEffectiveShare) return left;
  double low = 0.0;
  double high = left;
  for (int i = 0; i < 40; ++i) {
    const double middle = 0.5 * (low + high);
    (effective_share(weights_for(log_likelihood, middle)) >= kEffectiveShare ? low : high) = middle;
  }
  return std::max(low, 1e-6 * left);
}

// Systematic resampling (Kitagawa 1996).
Cloud resampled(const Cloud& cloud, const Eigen::VectorXd& weights, Random& random) {
  const Eigen::Index count = cloud.draws.cols();
  Cloud chosen{Eigen::MatrixXd(cloud.draws.rows(), count), Eigen::VectorXd(count)};
  const double offset = random.uniform();
  double total = weights[0];
  Eigen::Index from = 0;
  for (Eigen::Index to = 0; to < count; ++to) {
    const double level = (static_cast<double>(to) + offset) / static_cast<double>(count);
    while (total < level && from + 1 < count) total += weights[++from];
    chosen.draws.col(to) = cloud.draws.col(from);
    chosen.log_likelihood[to] = cloud.log_likelihood[from];
  }
  return chosen;
}

// Lower Cholesky factor of the draws' covariance, kept off singular.
Eigen::MatrixXd shape_of(const Eigen::MatrixXd& draws) {
  const Eigen::MatrixXd centred = draws.colwise() - draws.rowwise().mean();
  Eigen::MatrixXd covariance = centred * centred.transpose() / static_cast<double>(draws.cols());
  covariance.diagonal().array() += 1e-6;
  return covariance.llt().matrixL();
}

// One random-walk step for every draw; returns the share accepted.
double move(Cloud& cloud, const LogLikelihood& log_likelihood, double power, double scale, Random& random) {
  const Eigen::MatrixXd shape = scale * shape_of(cloud.draws);
  Eigen::VectorXd step(cloud.draws.rows());
  int accepted = 0;
  for (Eigen::Index i = 0; i < cloud.draws.cols(); ++i) {
    for (double& coordinate : step) coordinate = random.normal();
    const Eigen::VectorXd proposed = cloud.draws.col(i) + shape * step;
    const double proposed_log = reckoned(log_likelihood, proposed);
    const double log_ratio = power * (proposed_log - cloud.log_likelihood[i]) -
                             0.5 * (proposed.squaredNorm() - cloud.draws.col(i).squaredNorm());
    if (std::log(random.uniform() + 1e-300) >= log_ratio) continue;
    cloud.draws.col(i) = proposed;
    cloud.log_likelihood[i] = proposed_log;
    ++accepted;
  }
  return accepted / static_cast<double>(cloud.draws.cols());
}

// Several steps, the stride adapted towards a quarter accepted (Roberts, Gelman & Gilks 1997).
void move_often(Cloud& cloud, const LogLikelihood& log_likelihood, double power, int moves, double& scale,
                Random& random) {
  for (int i = 0; i < moves; ++i) {
    const double accepted = move(cloud, log_likelihood, power, scale, random);
    scale = std::clamp(scale * std::exp(accepted - 0.25), 0.02, 2.0);
  }
}

}  // namespace

Eigen::MatrixXd draw_posterior(int dimensions, const LogLikelihood& log_likelihood,
                               const SamplerOptions& options) {
  Random random(options.seed);
  Cloud cloud{Eigen::MatrixXd(dimensions, options.draws), Eigen::VectorXd(options.draws)};
  for (Eigen::Index i = 0; i < cloud.draws.cols(); ++i) {
    for (double& coordinate : cloud.draws.col(i)) coordinate = random.normal();
    cloud.log_likelihood[i] = reckoned(log_likelihood, cloud.draws.col(i));
  }
  double scale = 2.38 / std::sqrt(static_cast<double>(dimensions));
  double power = 0.0;
  while (power < 1.0) {
    const double step = next_step(cloud.log_likelihood, 1.0 - power);
    cloud = resampled(cloud, weights_for(cloud.log_likelihood, step), random);
    power = std::min(1.0, power + step);
    if (1.0 - power < 1e-9) power = 1.0;
    move_often(cloud, log_likelihood, power, options.moves, scale, random);
  }
  move_often(cloud, log_likelihood, 1.0, options.moves_at_end, scale, random);
  return cloud.draws;
}

}  // namespace platewise
