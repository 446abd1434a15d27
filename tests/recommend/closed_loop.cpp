// Tries the recommender on simulated photographers and prints how soon they are right.
// closed_loop [photographers] [seed] [only those whose line holds this, as "own curve, starts within 1.5"]
//             [corrections, default 3; negative: as many, without the oracles]
#include <fmt/format.h>

#include <cstdlib>
#include <iostream>
#include <string>

#include "loop.h"

// Scatter of measured tone differences, one sigma, in density.
constexpr double kTone_u = 0.05;
constexpr double kTone_u_with_device = 0.02;

int main(int argc, char** argv) {
  using platewise::PlateKind;
  using platewise::trial::LoopOptions;
  const int photographers = argc > 1 ? std::atoi(argv[1]) : 200;
  const auto seed = static_cast<std::uint64_t>(argc > 2 ? std::atoi(argv[2]) : 20);
  const std::string only = argc > 3 ? argv[3] : "";
  const int corrections = argc > 4 ? std::atoi(argv[4]) : 3;
  for (const PlateKind kind : {PlateKind::tintype, PlateKind::negative}) {
    for (const bool calibrated : {false, true}) {
      for (const double start : {1.5, 3.0}) {
        const LoopOptions options{.kind = kind,
                                  .photographers = photographers,
                                  .corrections = std::abs(corrections),
                                  .start_stops = start,
                                  .calibrated = calibrated,
                                  .tone_u = calibrated ? kTone_u_with_device : kTone_u,
                                  .seed = seed,
                                  .draws = 500,
                                  .oracles = corrections > 0};
        const std::string line = fmt::format("{}, {}, starts within {} stops", platewise::name_of(kind),
                                             calibrated ? "own curve" : "no curve", start);
        if (line.find(only) == std::string::npos) continue;
        std::cout << line << "\n" << platewise::trial::closed_loop(options).table() << std::flush;
      }
    }
  }
}
