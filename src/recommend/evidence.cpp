#include "evidence.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/distributions.h"
#include "priors.h"

namespace platewise {
namespace {

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
// Degrees C that times are told for (handbook, faults.md: 18-22, PRACTICE).
constexpr double kUsualTemperature_c = 20.0;

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
  kCoordinates  // then two for each earlier plate: light and hand, development; last the temperature's rate
};

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

}  // namespace

Evidence::Evidence(const Tones& tones, const RecommendOptions& options)
    : kind_(options.kind),
      blue_lights_(options.blue_lights),
      nearly_none_below_z_(normal_quantile(priors(options.kind).growth_nearly_none_share.value)),
      temperature_c_(options.settings.temperature_c),
      tones_(tone_evidence(tones, options.kind, options.light_leak)) {
  if (options.settings.development_s && *options.settings.development_s > 0) {
    log_development_s_ = std::log(*options.settings.development_s);
  }
  for (std::size_t i = 0; i < options.earlier.size(); ++i) {
    const EarlierPlate& plate = options.earlier[i];
    const int plates_ago = static_cast<int>(options.earlier.size() - i);
    if (const auto relation = relation_of({plate.settings, plate.note}, {options.settings, options.note},
                                          plates_ago, priors(kind_))) {
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
  return kCoordinates + 2 * static_cast<int>(earlier_.size()) + (is_temperature_asked() ? 1 : 0);
}

// Only where two temperatures are noted that differ.
bool Evidence::is_temperature_asked() const {
  return std::any_of(earlier_.begin(), earlier_.end(),
                     [](const Earlier& plate) { return plate.relation.warmer_c != 0.0; });
}

double Evidence::temperature_rate(const Eigen::VectorXd& z) const {
  return priors(kind_).temperature_rate.at(is_temperature_asked() ? z[dimensions() - 1] : 0.0);
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
  const double rate = temperature_rate(z);
  double sum = tones_log_likelihood(
      tones_, expected_tones(truth, truth.exposure_error_stops, truth.log_development), off);
  if (blue_lights_) sum += blue_lights_log_likelihood(truth.exposure_error_stops, prior);
  if (log_development_s_ && !development_) {
    const double warmer = temperature_c_.value_or(kUsualTemperature_c) - kUsualTemperature_c;
    const double usual = std::log(prior.aim_development_time.value) - rate * warmer;
    sum += log_density(truth.log_aim_time - usual, prior.aim_development_time.sd);
  }
  for (std::size_t i = 0; i < earlier_.size(); ++i) {
    const PlateRelation& relation = earlier_[i].relation;
    const auto at = static_cast<Eigen::Index>(kCoordinates + 2 * i);
    const double exposure =
        truth.exposure_error_stops + relation.exposure_stops + relation.exposure_sd * z[at];
    const double development = truth.log_development + relation.log_development +
                               relation.log_development_sd * z[at + 1] + rate * relation.warmer_c;
    ModelError drifted = off;
    drifted.fog = std::hypot(off.fog, relation.fog_sd);
    sum += tones_log_likelihood(earlier_[i].tones, expected_tones(truth, exposure, development), drifted);
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
