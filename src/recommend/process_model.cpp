#include "process_model.h"

#include <algorithm>
#include <cmath>

#include "platewise/sensitometry/development.h"

namespace platewise {
namespace {

double growth(double rate, double tau) {
  return -std::expm1(-rate * tau) / -std::expm1(-rate);
}

double time_s(const ProcessState& state, double log_development) {
  return std::exp(state.log_aim_time + log_development);
}

double grown(double rate_per_s, double from_s, double to_s) {
  return Growth::Candidate{.rate_per_s = rate_per_s}.growth(to_s, from_s);
}

// Image silver over that at the aim's time.
double image_growth(const ProcessState& state, double log_development) {
  if (!state.measured) return growth(state.growth_rate, std::exp(log_development));
  return grown(state.measured->highlight_rate, time_s(state, 0.0), time_s(state, log_development));
}

// Gamma is slope times silver: where gamma was seen to grow otherwise than silver, the slope changes.
double slope_growth(const ProcessState& state, double log_development) {
  if (!state.measured) return 1.0;
  return grown(state.measured->gamma_rate, time_s(state, 0.0), time_s(state, log_development)) /
         image_growth(state, log_development);
}

// Richards: the argument at which F = share, 0 < share < 1.
double argument_for(double share, double asymmetry) {
  return -std::log(std::expm1(-std::log(share) / asymmetry));
}

}  // namespace

double developed_fog(const ProcessState& state, double log_development) {
  if (const auto& measured = state.measured) {
    return measured->fog_level *
           grown(measured->fog_rate, measured->reference_s, time_s(state, log_development));
  }
  return kAimFog * std::exp(state.fog_growth * log_development);
}

DevelopedCurve::DevelopedCurve(const ProcessState& state, double log_development)
    : fog_(developed_fog(state, log_development) + state.chemical_fog),
      slope_((state.own_shape ? state.own_contrast : state.curve_slope) *
             slope_growth(state, log_development)),
      asymmetry_(state.curve_asymmetry),
      own_shape_(state.own_shape) {
  const double image_at_aim = state.largest_silver - kAimFog;
  const double image = image_at_aim * image_growth(state, log_development);
  // White silver can get no whiter than it is, so a positive's fog eats into its range; a negative's adds up.
  reach_ = state.positive ? std::max(image + kAimFog - fog_, 0.0) : image;
  const double aim_share = state.positive
                               ? (kAimHighlightShare * state.largest_silver - kAimFog) / image_at_aim
                               : kAimHighlightShare;
  const double aim =
      own_shape_ ? own_shape_->log_exposure_for(aim_share) : argument_for(aim_share, asymmetry_);
  shift_ = aim + slope_ * state.speed_gain * log_development;
}

double DevelopedCurve::silver(double log_exposure) const {
  if (own_shape_) return fog_ + reach_ * own_shape_->share(slope_ * log_exposure + shift_);
  return fog_ + reach_ * std::pow(1.0 + std::exp(-slope_ * log_exposure - shift_), -asymmetry_);
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
