#include "tone_evidence.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/distributions.h"

namespace platewise {
namespace {

// Silver by which areas count as one tone with the end of the scale.
constexpr double kOneTone = 0.03;
constexpr double kShareFloor = 0.02;
constexpr double kLogShare_u = 1.2;

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

std::optional<Quantity> difference(const std::optional<Quantity>& from, const std::optional<Quantity>& what,
                                   double sign) {
  if (!from || !what) return std::nullopt;
  return sign * (*from - *what);
}

}  // namespace

double log_density(double residual, double u) {
  constexpr double kDegreesOfFreedom = 6.0;
  const double z = residual / u;
  return -0.5 * (kDegreesOfFreedom + 1.0) * std::log1p(z * z / kDegreesOfFreedom);
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

}  // namespace platewise
