#pragma once

#include <algorithm>
#include <cmath>

namespace platewise {

// Log light that does not run away in the dark: log10(light + 0.001). Full scale 1.
inline constexpr double kLogLightOffset = 1e-3;  // below this an 8-bit file holds a few codes at most

[[nodiscard]] inline double log_light(double light) {
  return std::log10(std::max(0.0, light) + kLogLightOffset);
}
[[nodiscard]] inline double light_from_log(double value) {
  return std::pow(10.0, value) - kLogLightOffset;
}

}  // namespace platewise
