#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "photographers.h"

namespace platewise::trial {

struct LoopOptions {
  PlateKind kind = PlateKind::tintype;
  int photographers = 200;
  int corrections = 3;
  double start_stops = 1.5;
  bool calibrated = false;
  double tone_u = 0.05;            // of tone differences; 0.02 with a device file
  double light_drift_stops = 0.5;  // uniform to either side, a plate
  std::uint64_t seed = 20;
  int draws = 600;
  bool oracles = true;
};

// What an oracle reaches after the first plate, whatever becomes worse by it.
struct OracleResult {
  double right = 0.0;
  double exposure_right = 0.0;
  double worse = 0.0;
  [[nodiscard]] std::string line(const char* name) const;
};

// Shares after each correction.
struct LoopResult {
  std::vector<double> right;             // exposure and fog
  std::vector<double> exposure_right;    // within 1/3 stop
  std::vector<double> fog_right;         // within 0.03 D
  std::vector<double> worse;             // loss over 1.1 times that of repeating
  std::vector<double> exposure_covered;  // truth within the 80% interval
  std::vector<double> development_covered;
  std::vector<double> median_width_stops;
  double rule_of_thumb_right = 0.0;  // double or halve by the look, after the first plate

  bool oracles = false;  // asked; each after the first plate
  OracleResult knowing_process;
  OracleResult knowing_population;

  [[nodiscard]] std::string table() const;
};
[[nodiscard]] LoopResult closed_loop(const LoopOptions& options);

}  // namespace platewise::trial
