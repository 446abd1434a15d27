#pragma once

#include <optional>
#include <vector>

#include "photographers.h"

namespace platewise::trial {

// The most that any advice from one plate could reach: candidates drawn by the simulation itself, weighed by
// the same tones, and the change of exposure that is most likely right. It knows the simulation's own priors
// and laws, which no program can; how far the recommender falls short of it is the recommender's fault, what
// it falls short of is the plate's.
//   knowing the process     this photographer's curve, growth, fog and aim time; not the scene, the light,
//   the
//                           hand or the scan's error;
//   knowing the population  not even which of all simulated photographers it is.
struct OracleChange {
  double exposure_stops = 0.0;
  double development_s = 0.0;
};

struct OracleOptions {
  PlateKind kind = PlateKind::tintype;
  double start_stops = 1.5;
  ScanQuality quality;
  int candidates = 4000;
};

[[nodiscard]] OracleChange oracle_knowing_process(const Photographer& who, const Tones& tones,
                                                  double development_s, const OracleOptions& options,
                                                  Random& random);

class PopulationOracle {
 public:
  PopulationOracle(const OracleOptions& options, Random& random);
  [[nodiscard]] OracleChange change(const Tones& tones, double development_s) const;

 private:
  struct Candidate {
    PlateSilver silver;
    double setting_stops = 0.0;  // error of the setting, without the hand's
    double tau = 1.0;            // time set / aim time
    double support = 0.0;
  };
  OracleOptions options_;
  std::vector<Candidate> candidates_;
};

}  // namespace platewise::trial
