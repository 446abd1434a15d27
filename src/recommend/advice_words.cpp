#include "advice_words.h"

#include <fmt/format.h>

#include <cmath>

namespace platewise {

std::string in_seconds(double time_s) {
  if (time_s < 1.0) return fmt::format("1/{:.0f} s", 1.0 / time_s);
  return fmt::format("{:g} s", std::round(time_s * 10.0) / 10.0);
}

std::string in_stops(double size) {
  const double rounded = std::round(std::abs(size) * 10.0) / 10.0;
  return fmt::format("{:.1f} {}", rounded, rounded == 1.0 ? "stop" : "stops");
}

}  // namespace platewise
