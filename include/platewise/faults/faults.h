#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/warnings.h"

namespace platewise {

// One fault found on a plate. Units are the plate's (mm, or hundredths of the long side).
struct Fault {
  std::string id;  // one of the ids of the fault table in knowledge
  Point box_origin;
  double box_width = 0.0;
  double box_height = 0.0;
  double area = 0.0;
  std::optional<double> length;
  std::optional<double> width;
  std::optional<double> angle_deg;
  double severity = 0.0;  // 0..1
  std::optional<double> log10_nfa;
  double confidence = 0.0;  // 0..1
  Polygon outline_units;
  std::vector<std::string> likely_causes;
  std::vector<std::string> remedies;
  std::vector<std::string> cautions;
};

struct Faults {
  std::vector<Fault> found;
  Warnings warnings;
};

}  // namespace platewise
