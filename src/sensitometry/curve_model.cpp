#include <cmath>
#include <limits>

#include "platewise/sensitometry/plate_curve.h"

namespace platewise {

double CurveModel::silver(double log_exposure) const {
  return fog + amplitude * std::pow(1.0 + std::exp(-slope * (log_exposure - middle)), -asymmetry);
}

double CurveModel::gradient(double log_exposure) const {
  const double z = slope * (log_exposure - middle);
  // e^-z / (1 + e^-z) without overflow
  const double below = z >= 0.0 ? std::exp(-z) / (1.0 + std::exp(-z)) : 1.0 / (1.0 + std::exp(z));
  return asymmetry * slope * (silver(log_exposure) - fog) * below;
}

double CurveModel::log_exposure_for(double wanted_silver) const {
  const double share = (wanted_silver - fog) / amplitude;
  if (!(share > 0.0 && share < 1.0)) return std::numeric_limits<double>::quiet_NaN();
  return middle - std::log(std::expm1(-std::log(share) / asymmetry)) / slope;
}

double CurveModel::steepest_log_exposure() const {
  return middle + std::log(asymmetry) / slope;
}

double CurveModel::gamma() const {
  return gradient(steepest_log_exposure());
}

double CurveModel::inertia_log_exposure() const {
  const double at = steepest_log_exposure();
  return at - (silver(at) - fog) / gradient(at);
}

}  // namespace platewise
