#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/demo/plate_options.h"
#include "platewise/demo/render_wedge.h"

namespace platewise {

// The invented day: a lock-keeper and his niece make plates in the garden workshop behind the lock.
struct DemoPlate {
  std::string name;  // of the file, without its ending
  PlateOptions options;
  std::string note;
  double aperture = 4.0;
  double meter_ev = 12.0;
  double temperature_c = 19.0;
};

[[nodiscard]] std::vector<DemoPlate> demo_plates(std::uint64_t seed);

// The workshop's flatbed scanner: reflected light, 8 bit; and with its lid light on, 16 bit.
[[nodiscard]] DeviceModel workshop_scanner(Light light);

struct DemoWedge {
  std::string name;
  WedgeOptions options;
};
[[nodiscard]] std::vector<DemoWedge> demo_wedges(std::uint64_t seed);

// Plates made to learn the material: one through a wedge, one in strips of time.
struct DemoCurvePlate {
  DemoPlate plate;
  std::vector<double> wedge_densities;  // visual; empty for the strip plate
};
[[nodiscard]] std::vector<DemoCurvePlate> demo_curve_plates(std::uint64_t seed);

[[nodiscard]] std::string demo_story();

}  // namespace platewise
