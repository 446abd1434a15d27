#pragma once

#include <string>

namespace platewise {

// Below this probability a second reading of the plate is not told.
inline constexpr double kWorthALine = 0.25;

// 1/4 s, 2.5 s.
[[nodiscard]] std::string in_seconds(double time_s);

// The size without its sign: 1.0 stop, 0.7 stops.
[[nodiscard]] std::string in_stops(double size);

}  // namespace platewise
