#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "platewise/calibrate/wedge.h"
#include "platewise/core/plate.h"
#include "platewise/read/scan.h"

namespace platewise::simulated {

// A photographer with a wedge, a scanner and a plate material: drawn for the accuracy claim only, point by
// point from formulas, with other curve families than those fitted and another drawing than the demo's and
// the unit tests'.
struct Photographer {
  bool eight_bit = false;
  PlateKind kind = PlateKind::tintype;
  std::vector<double> wedge;                 // true densities, clear end first
  std::vector<double> blue;                  // as the plate sees them
  std::function<double(double)> device;      // density -> linear light as read from the file
  std::function<double(double)> net_silver;  // log exposure -> silver over fog
  double fog = 0.0;
  double support = 1.35;

  [[nodiscard]] double plate_density(double log_exposure) const;
};

[[nodiscard]] Photographer photographer(std::uint64_t seed);
// The wedge file: true densities with the errors of the densitometer that measured them.
[[nodiscard]] Wedge wedge_file(const Photographer& who, std::uint64_t seed);
[[nodiscard]] Scan scan_of_wedge(const Photographer& who, std::uint64_t seed);
[[nodiscard]] Scan scan_of_plate(const Photographer& who, std::uint64_t seed);

}  // namespace platewise::simulated
