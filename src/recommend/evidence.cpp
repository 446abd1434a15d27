#include "evidence.h"

#include <algorithm>
#include <cmath>

#include "platewise/recommend/exposure_arithmetic.h"
#include "platewise/stats/distributions.h"
#include "priors.h"

namespace platewise {
namespace {

// What the model itself may be wrong by, over and above measurement (no source; chosen on simulated
// photographers of another curve family, tests/recommend/photographers.cpp).
struct ModelError {
  double range = 0.04;
  double range_share = 0.0;  // of the largest silver: films are not poured equally thick
  double shadow = 0.02;
  double fog = 0.01;
};
constexpr ModelError kWithoutCurve{};
constexpr ModelError kWithOwnCurve{.range = 0.005, .range_share = 0.016, .shadow = 0.01, .fog = 0.005};
// The model is wrong in the same way on all plates of a series: more of them do not average it out. Taken as
// that much wider on each, so that together they are no surer than the model.
ModelError on_each_of(ModelError one, std::size_t plates) {
  const double wider = std::sqrt(static_cast<double>(plates));
  return {.range = wider * one.range,
          .range_share = wider * one.range_share,
          .shadow = wider * one.shadow,
          .fog = wider * one.fog};
}
// Contrast of one plate against that of the curve plate, from the same bottle (no source).
constexpr double kOwnContrast_u = 0.03;
// Silver by which areas count as one tone with the end of the scale.
constexpr double kOneTone = 0.03;
constexpr double kShareFloor = 0.02;
constexpr double kLogShare_u = 1.2;

enum Coordinate {
  kExposureError,
  kDevelopmentError,
  kLargestSilver,
  kCurveSlope,
  kCurveAsymmetry,
  kGrowthKind,
  kGrowthRate,
  kSpeedGain,
  kFogGrowth,
  kChemicalFog,
  kHighlightOverMidtone,
  kMidtoneOverFloor,
  kAimTime,
  kCoordinates  // then two for each earlier plate: light and hand, development
};

// Student's t with few degrees of freedom instead of a Gaussian: one wild tone shall not rule the rest.
double log_density(double residual, double u) {
  constexpr double kDegreesOfFreedom = 6.0;
  const double z = residual / u;
  return -0.5 * (kDegreesOfFreedom + 1.0) * std::log1p(z * z / kDegreesOfFreedom);
}

double agreement(const std::optional<Quantity>& measured, double expected, double model_u) {
  if (!measured) return 0.0;
  return log_density(measured->value - expected, std::hypot(measured->u, model_u));
}

double share_agreement(const std::optional<double>& measured, double expected) {
  if (!measured) return 0.0;
  return log_density(std::log((*measured + kShareFloor) / (expected + kShareFloor)), kLogShare_u);
}

// Share of a picture with silver above `level`, between three known points of its distribution, taken as
// normal on either side of the mid-tone.
double share_above(double level, const ExpectedTones& expected) {
  constexpr double kHighlight_z = 2.0537489106318225;  // 98%
  constexpr double kFloor_z = 2.3263478740408408;      // 1%
  const double above = level - expected.midtone;
  const double reach = above >= 0 ? (expected.highlight - expected.midtone) / kHighlight_z
                                  : (expected.midtone - expected.floor) / kFloor_z;
  return normal_share_below(-above / std::max(reach, 1e-3));
}

double tones_log_likelihood(const ToneEvidence& tones, const ExpectedTones& expected, const ModelError& off) {
  const double range_u = std::hypot(off.range, off.range_share * expected.largest);
  return agreement(tones.range, expected.highlight - expected.floor, range_u) +
         agreement(tones.midtone_range, expected.midtone - expected.floor, range_u) +
         agreement(tones.floor_over_margin, expected.floor - expected.fog, off.shadow) +
         agreement(tones.fog, expected.fog, off.fog) + agreement(tones.floor, expected.floor, off.shadow) +
         share_agreement(tones.blocked_highlight_fraction,
                         share_above(expected.highlight - kOneTone, expected)) +
         share_agreement(tones.empty_shadow_fraction, 1.0 - share_above(expected.floor + kOneTone, expected));
}

std::optional<PlateRelation> relation_of(const PlateSettings& earlier, const PlateSettings& now,
                                         int plates_ago, const Priors& prior) {
  const auto stops_then = stops_between(now, earlier);
  if (!stops_then) return std::nullopt;
  PlateRelation relation{.exposure_stops = *stops_then,
                         .exposure_sd = prior.light_drift.sd * std::sqrt(static_cast<double>(plates_ago))};
  if (earlier.meter_ev && now.meter_ev) {
    constexpr double kMeter_u_stops = 0.1;  // one reading, common practice
    relation.exposure_stops += *earlier.meter_ev - *now.meter_ev;
    relation.exposure_sd = kMeter_u_stops * std::sqrt(2.0);
  }
  relation.exposure_sd = std::hypot(relation.exposure_sd, prior.hand_scatter.sd * std::sqrt(2.0));
  relation.log_development_sd = prior.development_error.sd;
  if (earlier.development_s && now.development_s) {
    relation.log_development = std::log(*earlier.development_s / *now.development_s);
    relation.log_development_sd = prior.hand_scatter_development.sd * std::sqrt(2.0);
  }
  return relation;
}

// Exponential tail above the share of plates that have none.
double chemical_fog_at(double z, const Priors& prior) {
  const double above = normal_share_below(-z);
  const double share = prior.chemical_fog_share.value;
  return above >= share ? 0.0 : -prior.chemical_fog.value * std::log(std::max(above, 1e-12) / share);
}

// Of the lights turning blue at this exposure error. Plates without blue lights say nothing: most that got
// too much light have none.
double blue_lights_log_likelihood(double error_stops, const Priors& prior) {
  const double turned =
      normal_share_below((error_stops - prior.blue_lights_from.value) / prior.blue_lights_from.sd);
  return std::log(prior.blue_lights_else.value + (1.0 - prior.blue_lights_else.value) * turned);
}

std::optional<Quantity> difference(const std::optional<Quantity>& from, const std::optional<Quantity>& what,
                                   double sign) {
  if (!from || !what) return std::nullopt;
  return sign * (*from - *what);
}

}  // namespace

ToneEvidence tone_evidence(const Tones& tones, PlateKind kind, bool light_leak) {
  const double sign = is_positive(kind) ? 1.0 : -1.0;
  ToneEvidence evidence{.range = tones.range,
                        .floor_over_margin = tones.floor_over_margin,
                        .fog = tones.margin_fog,
                        .empty_shadow_fraction = tones.empty_shadow_fraction,
                        .blocked_highlight_fraction = tones.blocked_highlight_fraction};
  if (tones.range && tones.midtone_density && tones.floor_density) {
    evidence.midtone_range = {sign * (tones.floor_density->value - tones.midtone_density->value),
                              tones.range->u};
  }
  if (!evidence.fog) evidence.fog = difference(tones.support_density, tones.margin_density, sign);
  if (!evidence.fog) evidence.floor = tones.fog;
  if (!evidence.fog && !evidence.floor) {
    evidence.floor = difference(tones.support_density, tones.floor_density, sign);
  }
  if (light_leak) {
    evidence.fog.reset();
    evidence.floor.reset();
    evidence.floor_over_margin.reset();
    evidence.empty_shadow_fraction.reset();
  }
  return evidence;
}

Evidence::Evidence(const Tones& tones, const RecommendOptions& options)
    : kind_(options.kind),
      blue_lights_(options.blue_lights),
      nearly_none_below_z_(normal_quantile(priors(options.kind).growth_nearly_none_share.value)),
      tones_(tone_evidence(tones, options.kind, options.light_leak)) {
  if (options.settings.development_s && *options.settings.development_s > 0) {
    log_development_s_ = std::log(*options.settings.development_s);
  }
  for (std::size_t i = 0; i < options.earlier.size(); ++i) {
    const EarlierPlate& plate = options.earlier[i];
    const int plates_ago = static_cast<int>(options.earlier.size() - i);
    if (const auto relation = relation_of(plate.settings, options.settings, plates_ago, priors(kind_))) {
      earlier_.push_back({tone_evidence(plate.tones, kind_, false), *relation});
    }
  }
  take_curves(options.curves);
}

// The shape is that of the curve nearest in time to the plate. Where curves at several times tell how
// development acts, that one is enough for the rest too: else the same silver would count twice.
void Evidence::take_curves(const std::vector<PlateCurve>& curves) {
  std::vector<PlateCurve> own;
  for (const PlateCurve& curve : curves) {
    if (is_positive(curve.kind) == is_positive(kind_)) own.push_back(curve);
  }
  development_ = MeasuredDevelopment::from(own);
  for (const PlateCurve& curve : own) curves_.push_back(reduced(curve));
  const auto far = [&](const OwnCurve& curve) {
    if (!curve.log_development_s) return 1e9;
    return log_development_s_ ? std::abs(*curve.log_development_s - *log_development_s_) : 0.0;
  };
  std::stable_sort(curves_.begin(), curves_.end(),
                   [&](const OwnCurve& a, const OwnCurve& b) { return far(a) < far(b); });
  if (development_) curves_.resize(1, curves_.front());
}

int Evidence::dimensions() const {
  return kCoordinates + 2 * static_cast<int>(earlier_.size());
}

ProcessState Evidence::state(const Eigen::VectorXd& z) const {
  const Priors& prior = priors(kind_);
  const bool nearly_none = z[kGrowthKind] < nearly_none_below_z_;
  ProcessState state{
      .positive = is_positive(kind_),
      .exposure_error_stops = prior.exposure_error.at(z[kExposureError]),
      .log_development = prior.development_error.at(z[kDevelopmentError]),
      .largest_silver = prior.largest_silver.at(z[kLargestSilver]),
      .curve_slope = prior.curve_slope.at(z[kCurveSlope]),
      .curve_asymmetry = prior.curve_asymmetry.at(z[kCurveAsymmetry]),
      .growth_rate = (nearly_none ? prior.growth_rate_after_onset : prior.growth_rate).at(z[kGrowthRate]),
      .speed_gain = nearly_none ? 0.0 : prior.speed_gain.at(z[kSpeedGain]),
      .fog_growth = prior.fog_growth.at(z[kFogGrowth]),
      .chemical_fog = chemical_fog_at(z[kChemicalFog], prior),
      .highlight_over_midtone = prior.highlight_over_midtone.at(z[kHighlightOverMidtone]),
      .midtone_over_floor = prior.midtone_over_floor.at(z[kMidtoneOverFloor]),
      .log_aim_time = std::log(prior.aim_development_time.at(z[kAimTime]))};
  if (!curves_.empty()) {
    state.own_shape = &curves_.front().shape;
    state.own_contrast = std::exp(kOwnContrast_u * z[kCurveSlope]);
  }
  if (development_) {
    develop_as_measured(state, z);
  } else if (log_development_s_) {
    state.log_aim_time = *log_development_s_ - state.log_development;
  }
  return state;
}

// The time at the aim follows from the fog that the curves showed; what is left of the plate's own error is
// the hand's. Fog over the aim that no time takes away is chemistry.
void Evidence::develop_as_measured(ProcessState& state, const Eigen::VectorXd& z) const {
  state.measured = development_->drawn(z[kGrowthKind], z[kFogGrowth], z[kGrowthRate]);
  const double hand = priors(kind_).hand_scatter_development.sd * z[kDevelopmentError];
  if (const auto aim_s = aim_time_s(*state.measured)) {
    if (log_development_s_) state.log_development = *log_development_s_ - std::log(*aim_s) + hand;
    state.log_aim_time = std::log(*aim_s);
    return;
  }
  state.log_development = hand;
  if (log_development_s_) state.log_aim_time = *log_development_s_;
  state.chemical_fog += std::max(0.0, state.measured->fog_level - kAimFog);
  state.measured->fog_level = std::min(state.measured->fog_level, kAimFog);
}

double Evidence::log_likelihood(const Eigen::VectorXd& z) const {
  const Priors& prior = priors(kind_);
  const ModelError off = on_each_of(has_own_curve() ? kWithOwnCurve : kWithoutCurve, 1 + earlier_.size());
  const ProcessState truth = state(z);
  double sum = tones_log_likelihood(
      tones_, expected_tones(truth, truth.exposure_error_stops, truth.log_development), off);
  if (blue_lights_) sum += blue_lights_log_likelihood(truth.exposure_error_stops, prior);
  if (log_development_s_ && !development_) {
    const double usual = std::log(prior.aim_development_time.value);
    sum += log_density(truth.log_aim_time - usual, prior.aim_development_time.sd);
  }
  for (std::size_t i = 0; i < earlier_.size(); ++i) {
    const PlateRelation& relation = earlier_[i].relation;
    const auto at = static_cast<Eigen::Index>(kCoordinates + 2 * i);
    const double exposure =
        truth.exposure_error_stops + relation.exposure_stops + relation.exposure_sd * z[at];
    const double development =
        truth.log_development + relation.log_development + relation.log_development_sd * z[at + 1];
    sum += tones_log_likelihood(earlier_[i].tones, expected_tones(truth, exposure, development), off);
  }
  for (const OwnCurve& curve : curves_) sum += curve_log_likelihood(curve, truth);
  return sum;
}

Evidence::OwnCurve Evidence::reduced(const PlateCurve& curve) {
  OwnCurve own{.shape = OwnShape(curve)};
  own.fog = {own.shape.fog(), curve.fog.u};
  own.largest = own.shape.largest();
  if (curve.development_s && *curve.development_s > 0) own.log_development_s = std::log(*curve.development_s);
  return own;
}

double Evidence::curve_log_likelihood(const OwnCurve& own, const ProcessState& truth) const {
  // A curve without a noted time is taken to be developed like the plate.
  const double log_development =
      own.log_development_s ? *own.log_development_s - truth.log_aim_time : truth.log_development;
  const DevelopedCurve curve(truth, log_development);
  const double largest =
      log_density(own.largest.value - curve.largest(), std::hypot(own.largest.u, kWithOwnCurve.shadow));
  if (development_) return largest;  // which holds its fog already
  return largest + log_density(own.fog.value - curve.fog(), std::hypot(own.fog.u, kWithOwnCurve.fog));
}

}  // namespace platewise
