#include "oracle.h"

#include <algorithm>
#include <cmath>

namespace platewise::trial {
namespace {

constexpr double kRight_stops = 1.0 / 3.0;

double misfit(const std::optional<Quantity>& seen, double expected, double sigma) {
  if (!seen) return 0.0;
  const double z = (seen->value - expected) / sigma;
  return -0.5 * z * z;
}

// The law by which `scanned` scatters.
double log_likelihood(const Tones& tones, const PlateSilver& silver, const ScanQuality& quality,
                      bool positive) {
  const double u = quality.u;
  const double sign = positive ? 1.0 : -1.0;
  double sum = misfit(tones.range, silver.highlight - silver.floor, u) +
               misfit(tones.floor_over_margin, silver.floor - silver.fog, 0.6 * u) +
               misfit(Quantity{sign * (tones.floor_density->value - tones.midtone_density->value), u},
                      silver.midtone - silver.floor, 0.7 * u);
  sum += misfit(tones.margin_fog, silver.fog, 0.6 * u) + misfit(tones.fog, silver.floor, 0.6 * u);
  return sum;
}

std::vector<double> weights_of(std::vector<double> logs) {
  const double best = *std::max_element(logs.begin(), logs.end());
  for (double& value : logs) value = std::exp(value - best);
  return logs;
}

// The change after which the most weight lies within a third of a stop.
double most_likely_right(const std::vector<double>& setting, const std::vector<double>& weights) {
  double best = 0.0;
  double most = -1.0;
  for (int step = -80; step <= 80; ++step) {
    const double change = 0.05 * step;
    double right = 0.0;
    for (std::size_t i = 0; i < setting.size(); ++i) {
      // Soft edge: few candidates carry weight.
      const double off = std::abs(setting[i] + change) / kRight_stops;
      right += weights[i] / (1.0 + std::pow(off, 8.0));
    }
    if (right <= most) continue;
    most = right;
    best = change;
  }
  return best;
}

struct Hand {
  double exposure_stops;
  double development;
};
Hand hand(Random& random) {
  return {std::log2(random.uniform(0.9, 1.1)) + random.normal(0.0, 0.1), random.uniform(0.9, 1.1)};
}

}  // namespace

OracleChange oracle_knowing_process(const Photographer& who, const Tones& tones, double development_s,
                                    const OracleOptions& options, Random& random) {
  std::vector<double> setting;
  std::vector<double> logs;
  for (int i = 0; i < options.candidates; ++i) {
    const Photographer trial = with_other_scene(who, random);
    setting.push_back(random.uniform(-options.start_stops, options.start_stops));
    const Hand off = hand(random);
    const PlateSilver silver =
        plate_silver(trial, setting.back() + off.exposure_stops, development_s * off.development);
    logs.push_back(log_likelihood(tones, silver, options.quality, is_positive(who.kind)));
  }
  return {most_likely_right(setting, weights_of(std::move(logs))), who.aim_time_s};
}

PopulationOracle::PopulationOracle(const OracleOptions& options, Random& random) : options_(options) {
  for (int i = 0; i < options.candidates; ++i) {
    const Photographer who = photographer({.kind = options.kind}, random);
    Candidate candidate{.setting_stops = random.uniform(-options.start_stops, options.start_stops),
                        .tau = random.uniform(0.4, 1.6)};
    const Hand off = hand(random);
    candidate.silver = plate_silver(who, candidate.setting_stops + off.exposure_stops,
                                    candidate.tau * who.aim_time_s * off.development);
    candidates_.push_back(candidate);
  }
}

OracleChange PopulationOracle::change(const Tones& tones, double development_s) const {
  const double usual_s = options_.kind == PlateKind::negative ? 45.0 : 18.0;
  std::vector<double> setting;
  std::vector<double> logs;
  for (const Candidate& candidate : candidates_) {
    // Given the noted time, each share of the aim time stands for one aim time.
    const double z = std::log(development_s / candidate.tau / usual_s) / 0.3;
    setting.push_back(candidate.setting_stops);
    logs.push_back(log_likelihood(tones, candidate.silver, options_.quality, is_positive(options_.kind)) -
                   0.5 * z * z);
  }
  const std::vector<double> weights = weights_of(std::move(logs));
  double sum = 0.0;
  double log_tau = 0.0;
  for (std::size_t i = 0; i < weights.size(); ++i) {
    sum += weights[i];
    log_tau += weights[i] * std::log(candidates_[i].tau);
  }
  return {most_likely_right(setting, weights), development_s * std::exp(-log_tau / sum)};
}

}  // namespace platewise::trial
