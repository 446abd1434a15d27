#include "platewise/sensitometry/prior.h"

#include <cmath>

namespace platewise {

CurvePrior curve_prior(PlateKind kind) {
  CurvePrior prior;
  prior.fog = {0.05, 0.15};
  prior.log_net_silver = is_positive(kind) ? Quantity{std::log(0.85), 0.35} : Quantity{std::log(1.6), 0.4};
  prior.log_gamma = is_positive(kind) ? Quantity{std::log(1.2), 0.5} : Quantity{std::log(1.3), 0.5};
  return prior;
}

}  // namespace platewise
