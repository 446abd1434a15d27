#include "photographers.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "platewise/stats/distributions.h"

namespace platewise::trial {
namespace {

struct Between {
  double low;
  double high;
  [[nodiscard]] double drawn(Random& random) const { return random.uniform(low, high); }
};
constexpr Between kMidtone{0.25, 0.95};
constexpr Between kFloorBelowMidtone{0.5, 1.2};
constexpr Between kFlare{0.01, 0.05};

constexpr double kPi = 3.141592653589793;

double bisect(double low, double high, const std::function<bool(double)>& too_high) {
  for (int i = 0; i < 80; ++i) {
    const double middle = 0.5 * (low + high);
    (too_high(middle) ? high : low) = middle;
  }
  return 0.5 * (low + high);
}

// Silver layer without fog, of full height 1.
double layer_share(const Photographer& who, double exposure) {
  if (exposure <= 0) return 0.0;
  if (who.kind == PlateKind::negative) return 2.0 / kPi * std::atan(std::pow(exposure, who.steepness));
  if (who.weibull) return -std::expm1(-std::pow(exposure, who.steepness));
  return normal_share_below(who.steepness * std::log(exposure));
}

double growth(const Photographer& who, double time_s) {
  const double after_onset = std::max(0.0, time_s / who.aim_time_s - who.onset);
  return -std::expm1(-(who.grows ? who.rate : 12.0) * after_onset);
}

// Sets the fog layer so that the fog at the aim time is 0.06, and the exposure that is right there.
void settle(Photographer& who) {
  who.fog_layer = bisect(0.0, 0.3, [&](double layer) {
    Photographer trial = who;
    trial.fog_layer = layer;
    return trial.fog(trial.aim_time_s) > 0.06;
  });
  const double fog = who.kind == PlateKind::negative ? who.fog(who.aim_time_s) : 0.0;
  const double wanted = fog + 0.9 * (who.largest(who.aim_time_s) - fog);
  const double log_exposure = bisect(
      -8.0, 8.0, [&](double log_e) { return who.silver(std::pow(10.0, log_e), who.aim_time_s) > wanted; });
  who.ideal_exposure = std::pow(10.0, log_exposure);
}

double exposure_of(const Photographer& who, double log_below_highlight, double error_stops) {
  const double light = std::pow(10.0, -log_below_highlight) + who.flare * std::pow(10.0, -who.midtone);
  return who.ideal_exposure * std::exp2(error_stops) * light;
}

}  // namespace

double Photographer::silver(double exposure, double time_s) const {
  const double tau = time_s / aim_time_s;
  const double speed = grows ? std::pow(tau, speed_power) : 1.0;
  const double image = layer * growth(*this, time_s) * layer_share(*this, exposure * speed);
  const double fog_now = fog_layer * std::expm1(fog_rate * tau) / std::expm1(fog_rate);
  const double density = image + fog_now;
  if (kind == PlateKind::negative) return density;
  const double reflectance =
      white * (1.0 - std::pow(10.0, -density)) + black * std::pow(10.0, -2.0 * density);
  return std::log10(reflectance / black);
}

Photographer photographer(const PhotographerOptions& options, Random& random) {
  const bool negative = options.kind == PlateKind::negative;
  Photographer who{.kind = options.kind,
                   .grows = random.chance(0.5),
                   .weibull = random.chance(0.5),
                   .layer = negative ? random.uniform(1.4, 2.2) : random.uniform(0.7, 1.2),
                   .aim_time_s = (negative ? 45.0 : 18.0) * std::exp(random.normal(0.0, 0.3)),
                   .onset = random.uniform(0.1, 0.3),
                   .rate = random.uniform(1.0, 2.5),
                   .speed_power = random.uniform(0.0, 0.4),
                   .fog_rate = random.uniform(1.0, 3.0),
                   .white = random.uniform(0.34, 0.5),
                   .black = random.uniform(0.035, 0.055),
                   .midtone = kMidtone.drawn(random),
                   .flare = kFlare.drawn(random),
                   .ideal_exposure_s = 5.0 * std::exp(random.normal(0.0, 0.6))};
  who.steepness = negative ? random.uniform(0.9, 1.5) : random.uniform(0.8, 1.3);
  who.floor = who.midtone + kFloorBelowMidtone.drawn(random);
  settle(who);
  return who;
}

Photographer with_other_scene(Photographer who, Random& random) {
  who.midtone = kMidtone.drawn(random);
  who.floor = who.midtone + kFloorBelowMidtone.drawn(random);
  who.flare = kFlare.drawn(random);
  return who;
}

PlateSilver plate_silver(const Photographer& who, double error_stops, double time_s) {
  return {.fog = who.fog(time_s),
          .floor = who.silver(exposure_of(who, who.floor, error_stops), time_s),
          .midtone = who.silver(exposure_of(who, who.midtone, error_stops), time_s),
          .highlight = who.silver(exposure_of(who, 0.0, error_stops), time_s)};
}

Tones scanned(const Photographer& who, double error_stops, double time_s, const ScanQuality& quality,
              Random& random) {
  const bool positive = is_positive(who.kind);
  const double support = positive ? -std::log10(who.black) : 0.04;
  const auto density = [&](double silver) { return positive ? support - silver : support + silver; };
  const auto [fog, floor, midtone, highlight] = plate_silver(who, error_stops, time_s);
  const double u = quality.u;
  const auto seen = [&](double value, double sigma) {
    return Quantity{value + random.normal(0.0, sigma), sigma};
  };

  Tones tones{.calibrated = quality.calibrated, .support_seen = random.chance(quality.support_seen_share)};
  const double offset_u = quality.calibrated ? 0.0 : 0.2;
  const double offset = random.normal(0.0, offset_u);
  const auto absolute = [&](double silver) {
    return Quantity{density(silver) + offset + random.normal(0.0, 0.5 * u), std::hypot(offset_u, u)};
  };
  tones.support_density =
      tones.support_seen ? absolute(0.0) : Quantity{positive ? 1.35 : 0.04, positive ? 0.15 : 0.02};
  tones.margin_density = absolute(fog);
  tones.range = seen(highlight - floor, u);
  tones.floor_density = absolute(floor);
  const double sign = positive ? -1.0 : 1.0;
  tones.highlight_density = Quantity{tones.floor_density->value + sign * tones.range->value, offset_u};
  tones.midtone_density =
      Quantity{tones.floor_density->value + sign * (midtone - floor + random.normal(0.0, 0.7 * u)), offset_u};
  tones.floor_over_margin = seen(floor - fog, 0.6 * u);
  if (tones.support_seen) {
    tones.margin_fog = seen(fog, 0.6 * u);
    tones.fog = seen(floor, 0.6 * u);
  }
  return tones;
}

PlateCurve wedge_curve(const Photographer& who, double time_s, Random& random) {
  // Fitted here by a coarse search, not by the program's own fit: only its answer is wanted.
  PlateCurve curve{.kind = who.kind, .development_s = time_s};
  constexpr int kSteps = 25;
  std::vector<double> x(kSteps);
  std::vector<double> s(kSteps);
  for (int i = 0; i < kSteps; ++i) {
    x[i] = 1.2 - 0.15 * i;
    s[i] = who.silver(who.ideal_exposure * std::pow(10.0, x[i]), time_s) + random.normal(0.0, 0.01);
  }
  CurveModel& model = curve.model;
  model.fog = (s[kSteps - 1] + s[kSteps - 2] + s[kSteps - 3]) / 3.0;
  double least = 1e9;
  for (double asymmetry = 0.2; asymmetry < 6.0; asymmetry *= 1.3) {
    for (double slope = 1.5; slope < 14.0; slope *= 1.1) {
      for (double middle = -2.5; middle < 1.0; middle += 0.05) {
        double sff = 0.0;
        double sfy = 0.0;
        double syy = 0.0;
        for (int i = 0; i < kSteps; ++i) {
          const double f = std::pow(1.0 + std::exp(-slope * (x[i] - middle)), -asymmetry);
          sff += f * f;
          sfy += f * (s[i] - model.fog);
          syy += (s[i] - model.fog) * (s[i] - model.fog);
        }
        const double misfit = syy - sfy * sfy / sff;
        if (misfit < least) {
          least = misfit;
          model = {model.fog, sfy / sff, slope, middle, asymmetry};
        }
      }
    }
  }
  const bool positive = is_positive(who.kind);
  const double support = positive ? -std::log10(who.black) : 0.04;
  curve.support_density = Quantity{support, 0.01};
  for (int i = kSteps - 1; i >= 0; --i)
    curve.steps.push_back({x[i], positive ? support - s[i] : support + s[i], 0.01});
  curve.gamma = {model.gamma(), 0.05};
  curve.fog = {model.fog, 0.01};
  curve.max_density = curve.min_density = {0.0, 0.02};
  return curve;
}

}  // namespace platewise::trial
