#include "photographers.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "platewise/stats/distributions.h"
#include "platewise/stats/robust.h"

namespace platewise::trial {
namespace {

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

double loss(double error_stops, double fog) {
  return std::abs(error_stops) * 3.0 + std::abs(fog - 0.06) / 0.03;
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
                   .midtone = random.uniform(0.25, 0.95),
                   .flare = random.uniform(0.01, 0.05),
                   .ideal_exposure_s = 5.0 * std::exp(random.normal(0.0, 0.6))};
  who.steepness = negative ? random.uniform(0.9, 1.5) : random.uniform(0.8, 1.3);
  who.floor = who.midtone + random.uniform(0.5, 1.2);
  settle(who);
  return who;
}

Tones scanned(const Photographer& who, double error_stops, double time_s, const ScanQuality& quality,
              Random& random) {
  const bool positive = is_positive(who.kind);
  const double support = positive ? -std::log10(who.black) : 0.04;
  const auto density = [&](double silver) { return positive ? support - silver : support + silver; };
  const double fog = who.fog(time_s);
  const double floor = who.silver(exposure_of(who, who.floor, error_stops), time_s);
  const double midtone = who.silver(exposure_of(who, who.midtone, error_stops), time_s);
  const double highlight = who.silver(exposure_of(who, 0.0, error_stops), time_s);
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
  curve.fog = {model.fog, 0.01};
  curve.max_density = curve.min_density = {0.0, 0.02};
  return curve;
}

LoopResult closed_loop(const LoopOptions& options) {
  const auto rounds = static_cast<std::size_t>(options.corrections);
  LoopResult result;
  for (auto* list : {&result.right, &result.exposure_right, &result.fog_right, &result.worse,
                     &result.exposure_covered, &result.development_covered}) {
    list->assign(rounds, 0.0);
  }
  std::vector<std::vector<double>> widths(rounds);
  const double share = 1.0 / options.photographers;
  for (int index = 0; index < options.photographers; ++index) {
    Random random = Random(options.seed).fork(static_cast<std::uint64_t>(index));
    const Photographer who = photographer({.kind = options.kind}, random);
    const ScanQuality quality{.u = options.tone_u,
                              .calibrated = options.calibrated,
                              .support_seen_share = options.calibrated ? 0.8 : 0.6};
    double light = 0.0;
    double exposure_s =
        who.ideal_exposure_s * std::exp2(random.uniform(-options.start_stops, options.start_stops));
    double development_s = who.aim_time_s * random.uniform(0.4, 1.6);
    const bool metered = random.chance(0.5);
    RecommendOptions ask{.kind = options.kind, .draws = options.draws};
    if (options.calibrated) ask.curves.push_back(wedge_curve(who, development_s, random));
    for (std::size_t round = 0; round < rounds; ++round) {
      const auto error = [&](double time_s) { return std::log2(time_s / who.ideal_exposure_s) + light; };
      const double got_stops = error(exposure_s * random.uniform(0.9, 1.1)) + random.normal(0.0, 0.1);
      const Tones tones = scanned(who, got_stops, development_s * random.uniform(0.9, 1.1), quality, random);
      ask.settings = {.exposure_s = exposure_s, .development_s = development_s, .aperture = 4.0};
      if (metered) ask.settings.meter_ev = 12.0 + light + random.normal(0.0, 0.1);
      const auto advice = recommend(tones, ask);
      const double next_exposure_s = exposure_s * std::exp2(advice->exposure.change);
      const double next_development_s = development_s * (1.0 + advice->development.change / 100.0);

      const double left = error(next_exposure_s);
      const double fog = who.fog(next_development_s);
      const bool exposure_right = std::abs(left) <= 1.0 / 3.0;
      const bool fog_right = std::abs(fog - 0.06) <= 0.03;
      result.exposure_right[round] += share * exposure_right;
      result.fog_right[round] += share * fog_right;
      result.right[round] += share * (exposure_right && fog_right);
      result.worse[round] +=
          share * (loss(left, fog) > 1.1 * loss(error(exposure_s), who.fog(development_s)) + 1e-9);
      const double needed = -error(exposure_s);
      result.exposure_covered[round] +=
          share * (needed >= advice->exposure.low && needed <= advice->exposure.high);
      const double needed_percent = 100.0 * (who.aim_time_s / development_s - 1.0);
      result.development_covered[round] +=
          share * (needed_percent >= advice->development.low && needed_percent <= advice->development.high);
      widths[round].push_back(advice->exposure.high - advice->exposure.low);
      if (round == 0) {
        // By the look: dull whites get double the time, filled shadows half.
        double thumb = exposure_s;
        if (tones.range->value + tones.floor_over_margin->value < 0.7 * 0.85) thumb *= 2.0;
        if (tones.floor_over_margin->value > 0.3) thumb *= 0.5;
        result.rule_of_thumb_right +=
            share * (std::abs(error(thumb)) <= 1.0 / 3.0 && std::abs(who.fog(development_s) - 0.06) <= 0.03);
      }
      ask.earlier.push_back({tones, ask.settings});
      exposure_s = next_exposure_s;
      development_s = next_development_s;
      light += random.uniform(-options.light_drift_stops, options.light_drift_stops);
    }
  }
  for (const auto& width : widths) result.median_width_stops.push_back(median(width));
  return result;
}

std::string LoopResult::table() const {
  std::string text = "correction  right  exposure  fog   worse  covered(exp)  covered(dev)  width/stops\n";
  for (std::size_t i = 0; i < right.size(); ++i) {
    text += fmt::format("{:>10}  {:4.0f}%  {:7.0f}%  {:3.0f}%  {:4.1f}%  {:11.0f}%  {:11.0f}%  {:10.2f}\n",
                        i + 1, 100 * right[i], 100 * exposure_right[i], 100 * fog_right[i], 100 * worse[i],
                        100 * exposure_covered[i], 100 * development_covered[i], median_width_stops[i]);
  }
  return text + fmt::format("rule of thumb (double or halve by the look): {:.0f}% right after one\n",
                            100 * rule_of_thumb_right);
}

}  // namespace platewise::trial
