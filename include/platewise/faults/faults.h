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
  // How much the mark spoils the plate, 0..1 = 1 - (1 - area)(1 - contrast)(1 - place), where
  //   area     = s / (s + 0.01), s its share of the plate: 1/2 at one hundredth of the plate;
  //   contrast = half of its contrast in density (at most 1/2), less in proportion for marks below s =
  //   0.0001; place    = half of its share that lies in the part that matters, if that was said (--subject).
  // Common practice in grading by area, contrast and place; the numbers are ours, no source.
  double severity = 0.0;
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
