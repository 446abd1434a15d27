#pragma once

#include <Eigen/Core>
#include <span>

namespace platewise {

// Curve shapes with toe, straight part and shoulder that the fit chooses among. They share their first four
// parameters, so that one prior serves all:
//   0 fog  1 ln net silver  2 ln greatest gradient (nearly, for the third shape)  3 log exposure of the
//   middle
// and add parameters of their own, each 0 at the usual form with a prior of `form_sigma`.
struct CurveShape {
  const char* name;
  Eigen::Index forms;
  double form_sigma;
  double (*silver)(const Eigen::VectorXd& parameters, double log_exposure);
};

// The first is Richards' sigmoid, which `CurveModel` holds.
[[nodiscard]] std::span<const CurveShape> curve_shapes();

}  // namespace platewise
