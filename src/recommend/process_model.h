#pragma once

#include <optional>

#include "own_shape.h"
#include "platewise/core/plate.h"

namespace platewise {

// How development acts on the photographer's own plates, one draw from what sensitometry fitted to curves at
// several times: value(t) = level (1 - exp(-rate t)) / (1 - exp(-rate reference)), rate 0: value(t) = level.
struct MeasuredGrowth {
  double reference_s = 1.0;
  double shortest_s = 1.0;  // the times it rests on
  double longest_s = 1.0;
  double fog_level = 0.06;
  double fog_rate = 0.0;
  double highlight_rate = 0.0;
  double gamma_rate = 0.0;
};

// One possible truth about a plate and the material it was made with. The recommender weighs thousands of
// them. Silver s as in Tones: lightening of the support (positive) or density over it (negative).
//
//   development  tau = time / time at the aim
//   fog          0.06 tau^fog_growth + chemical_fog
//   growth       g(tau) = (1 - exp(-growth_rate tau)) / (1 - exp(-growth_rate))    Sheppard & Mees 1907
//   curve        s(x) = fog + (largest - fog) F(x),  F(x) = (1 + exp(-slope x - b))^-asymmetry
//   with b such that s(0) is the aim's highlight at tau = 1, and x shifted by speed_gain ln(tau).
//
// x is log10 exposure relative to what puts the highlight at the aim. The time at the aim is by definition
// that whose fog is 0.06 D, so no free parameter is needed for it.
// Assumes that one curve form serves all development times; `model_u` in evidence.cpp allows for that.
struct ProcessState {
  bool positive = true;
  double exposure_error_stops = 0.0;
  double log_development = 0.0;  // ln tau
  double largest_silver = 1.0;   // at the aim, fog included
  double curve_slope = 5.0;
  double curve_asymmetry = 1.0;
  double growth_rate = 1.6;
  double speed_gain = 0.0;
  double fog_growth = 1.6;
  double chemical_fog = 0.0;
  double highlight_over_midtone = 0.5;  // log10 exposure
  double midtone_over_floor = 0.8;
  double log_aim_time = 0.0;               // ln seconds
  std::optional<MeasuredGrowth> measured;  // takes the place of growth_rate and fog_growth
  // The photographer's own curve takes the place of slope and asymmetry; `own_contrast` is by how much its
  // log exposures shrink on this plate. Owned by Evidence, which outlives its states.
  const OwnShape* own_shape = nullptr;
  double own_contrast = 1.0;
};

// Fog that the aim allows (contract: "the longest whose fog stays at or under 0.06 D").
inline constexpr double kAimFog = 0.06;
// Share of the largest net density at which the highlight should stand (contract).
inline constexpr double kAimHighlightShare = 0.9;
inline constexpr double kLogExposurePerStop = 0.3010299956639812;  // log10 2

// Fog that development alone gives, without chemical_fog.
[[nodiscard]] double developed_fog(const ProcessState& state, double log_development);

// The curve of this material at one development time, ready to be read at many exposures.
class DevelopedCurve {
 public:
  DevelopedCurve(const ProcessState& state, double log_development);

  [[nodiscard]] double silver(double log_exposure) const;
  [[nodiscard]] double fog() const { return fog_; }
  [[nodiscard]] double largest() const { return fog_ + reach_; }

 private:
  double fog_ = 0.0;
  double reach_ = 1.0;  // largest silver over fog
  double slope_ = 5.0;
  double shift_ = 0.0;
  double asymmetry_ = 1.0;
  const OwnShape* own_shape_ = nullptr;  // then slope and shift are of its axis
};

// The silver of the tones that Tones measures.
struct ExpectedTones {
  double fog = 0.0;
  double floor = 0.0;
  double midtone = 0.0;
  double highlight = 0.0;
  double largest = 0.0;
};
[[nodiscard]] ExpectedTones expected_tones(const ProcessState& state, double exposure_error_stops,
                                           double log_development);

}  // namespace platewise
