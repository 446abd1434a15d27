#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/faults/evidence.h"

namespace platewise {

// A place where a detector thinks its fault may be. Units are the plate's.
struct Candidate {
  std::string_view id;
  Polygon outline_units;
  double area = 0.0;
  std::optional<double> length;
  std::optional<double> width;
  std::optional<double> angle_deg;
  double contrast = 0.0;            // in density against its surround, always positive
  std::optional<double> log10_nfa;  // empty: seen directly, not judged against chance
  double confidence = 0.0;
};

// Finds one family of faults. To add a detector:
//   1. write src/faults/detectors/<fault>.cpp with its `propose` and declare it in detectors/detectors.h;
//   2. add its line to src/faults/detector_table.cpp;
//   3. add scenes to tests/faults: the fault drawn, a clean plate, a clean plate full of lines.
// `propose` is pure and generous: find_faults keeps what chance cannot explain.
struct Detector {
  std::string_view looks_for;             // one line for help, report and documentation
  std::span<const std::string_view> ids;  // of the fault table
  double smallest_px;                     // smallest size it can find, working pixels
  std::vector<Candidate> (*propose)(const Evidence&);
  bool needs_colour = false;  // finds nothing on a grey scan, and nothing is claimed of one
};

[[nodiscard]] std::span<const Detector> detectors();

}  // namespace platewise
