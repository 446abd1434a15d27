#include "platewise/density/density_errors.h"

#include <cmath>
#include <numbers>

namespace platewise {
namespace {

// How much each shared error moves the density `density`.
Eigen::Vector3d weights(const DensityErrors& errors, double density) {
  const double signal = std::pow(10.0, errors.added - density);
  return {1.0, density, 1.0 / (std::numbers::ln10 * signal)};
}

// Light is about code^2.2, so a code wrong by u is a density wrong by 2.2 u / (ln 10 code).
double own_u(const DensityErrors& errors, double density) {
  constexpr double kGamma = 2.2;
  const double code = std::pow(10.0, (errors.added - density) / kGamma);
  return std::hypot(errors.place_u, kGamma * errors.code_u / (std::numbers::ln10 * code));
}

// Local errors of the device curve are shared over about one step of a wedge, 0.15 D.
constexpr double kLocalReach = 0.15;

}  // namespace

double u_at(const DensityErrors& errors, double density) {
  const Eigen::Vector3d w = weights(errors, density);
  const double own = own_u(errors, density);
  return std::sqrt(w.dot(errors.covariance * w) + errors.local_u * errors.local_u + own * own);
}

double u_of_difference(const DensityErrors& errors, double a, double b) {
  const Eigen::Vector3d w = weights(errors, a) - weights(errors, b);
  const double apart = 1.0 - std::exp(-std::abs(a - b) / kLocalReach);
  const double own = std::hypot(own_u(errors, a), own_u(errors, b));
  return std::sqrt(w.dot(errors.covariance * w) + 2.0 * errors.local_u * errors.local_u * apart + own * own);
}

ScannerPrior scanner_prior(Light light, bool photo) {
  ScannerPrior prior;
  if (photo) {
    prior.slope_u = 0.08;  // a phone's tone curve is made to please
    prior.flare = {0.004, 0.005};
  } else if (light == Light::transmitted) {
    prior.flare = {0.002, 0.002};  // the surround is masked, the plate itself is mostly clear
  }
  return prior;
}

DensityErrors errors_of(const ScannerPrior& prior) {
  DensityErrors errors;
  errors.covariance.diagonal() << prior.offset_u * prior.offset_u, prior.slope_u * prior.slope_u,
      prior.flare.u * prior.flare.u;
  return errors;
}

Pulled pulled_by(const DensityErrors& errors, Quantity measured, Quantity known) {
  const Eigen::Vector3d w = weights(errors, measured.value);
  const double own = std::hypot(errors.local_u, own_u(errors, measured.value));
  const double patch_u2 = measured.u * measured.u + known.u * known.u + own * own;
  const Eigen::Vector3d shared = errors.covariance * w;
  const double gain = shared[0] / (w.dot(shared) + patch_u2);

  Pulled pulled{gain * (known.value - measured.value), errors};
  Eigen::Matrix3d keep = Eigen::Matrix3d::Identity();
  keep.row(0) -= gain * w.transpose();
  pulled.errors.covariance = keep * errors.covariance * keep.transpose();
  pulled.errors.covariance(0, 0) += gain * gain * patch_u2;
  pulled.errors.added += pulled.shift;
  return pulled;
}

}  // namespace platewise
