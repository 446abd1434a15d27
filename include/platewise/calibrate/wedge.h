#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/core/result.h"

namespace platewise {

// One step of a wedge: its density (ISO 5 base 10), and the density a blue-sensitive plate saw, where known.
struct WedgeStep {
  double density = 0.0;
  std::optional<double> blue_density;
};

// A step wedge, clear end first. All steps carry a blue density or none does.
struct Wedge {
  std::vector<WedgeStep> steps;

  [[nodiscard]] bool has_blue() const { return !steps.empty() && steps.front().blue_density.has_value(); }
};

// Reads `step,density[,blue_density]`, one row a step, steps numbered 1, 2, 3 ... from either end; densities
// rising or falling all the way. Fails with a Problem naming `where` and the line for a missing or unknown
// column, what is no number, densities outside -0.05 .. 6, steps out of order, fewer than 5 steps.
[[nodiscard]] Result<Wedge> parse_wedge(std::string_view text, const std::string& where);
[[nodiscard]] Result<Wedge> read_wedge(const std::filesystem::path& path);

}  // namespace platewise
