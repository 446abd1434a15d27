#include "process_model.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

double growth(double rate, double tau) {
  return -std::expm1(-rate * tau) / -std::expm1(-rate);
}

// Richards: the argument at which F = share, 0 < share < 1.
double argument_for(double share, double asymmetry) {
  return -std::log(std::expm1(-std::log(share) / asymmetry));
}

}  // namespace

double developed_fog(const ProcessState& state, double log_development) {
  return kAimFog * std::exp(state.fog_growth * log_development);
}

DevelopedCurve::DevelopedCurve(const ProcessState& state, double log_development)
    : fog_(developed_fog(state, log_development) + state.chemical_fog),
      slope_(state.curve_slope),
      asymmetry_(state.curve_asymmetry) {
  const double image_at_aim = state.largest_silver - kAimFog;
  const double image = image_at_aim * growth(state.growth_rate, std::exp(log_development));
  // White silver can get no whiter than it is, so a positive's fog eats into its range; a negative's adds up.
  reach_ = state.positive ? std::max(image + kAimFog - fog_, 0.0) : image;
  const double aim_share = state.positive
                               ? (kAimHighlightShare * state.largest_silver - kAimFog) / image_at_aim
                               : kAimHighlightShare;
  shift_ = argument_for(aim_share, asymmetry_) + slope_ * state.speed_gain * log_development;
}

double DevelopedCurve::silver(double log_exposure) const {
  return fog_ + reach_ * std::pow(1.0 + std::exp(-slope_ * log_exposure - shift_), -asymmetry_);
}

double DevelopedCurve::log_exposure_from_half(double share) const {
  return (argument_for(share, asymmetry_) - argument_for(0.5, asymmetry_)) / slope_;
}

ExpectedTones expected_tones(const ProcessState& state, double exposure_error_stops, double log_development) {
  const DevelopedCurve curve(state, log_development);
  const double highlight = exposure_error_stops * kLogExposurePerStop;
  const double midtone = highlight - state.highlight_over_midtone;
  return {.fog = curve.fog(),
          .floor = curve.silver(midtone - state.midtone_over_floor),
          .midtone = curve.silver(midtone),
          .highlight = curve.silver(highlight),
          .largest = curve.largest()};
}

}  // namespace platewise
