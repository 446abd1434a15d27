#include "loop.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "oracle.h"
#include "platewise/stats/robust.h"

namespace platewise::trial {
namespace {

double loss(double error_stops, double fog) {
  return std::abs(error_stops) * 3.0 + std::abs(fog - 0.06) / 0.03;
}

ScanQuality quality_of(const LoopOptions& options) {
  return {.u = options.tone_u,
          .calibrated = options.calibrated,
          .support_seen_share = options.calibrated ? 0.8 : 0.6};
}

OracleOptions oracle_options(const LoopOptions& options, int candidates) {
  return {.kind = options.kind,
          .start_stops = options.start_stops,
          .quality = quality_of(options),
          .candidates = candidates};
}

}  // namespace

LoopResult closed_loop(const LoopOptions& options) {
  const auto rounds = static_cast<std::size_t>(options.corrections);
  LoopResult result{.oracles = options.oracles};
  for (auto* list : {&result.right, &result.exposure_right, &result.fog_right, &result.worse,
                     &result.exposure_covered, &result.development_covered}) {
    list->assign(rounds, 0.0);
  }
  std::vector<std::vector<double>> widths(rounds);
  Random of_oracles = Random(options.seed).fork(~std::uint64_t{0});
  const std::optional<PopulationOracle> population =
      options.oracles
          ? std::optional<PopulationOracle>(std::in_place, oracle_options(options, 20000), of_oracles)
          : std::nullopt;
  const double share = 1.0 / options.photographers;
  for (int index = 0; index < options.photographers; ++index) {
    Random random = Random(options.seed).fork(static_cast<std::uint64_t>(index));
    const Photographer who = photographer({.kind = options.kind}, random);
    const ScanQuality quality = quality_of(options);
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
      if (round == 0 && population) {
        const auto judge = [&](const OracleChange& change, OracleResult& sum) {
          const double after = error(exposure_s * std::exp2(change.exposure_stops));
          const double fog_after = who.fog(change.development_s);
          const bool exposure_ok = std::abs(after) <= 1.0 / 3.0;
          sum.exposure_right += share * exposure_ok;
          sum.right += share * (exposure_ok && std::abs(fog_after - 0.06) <= 0.03);
          sum.worse +=
              share * (loss(after, fog_after) > 1.1 * loss(error(exposure_s), who.fog(development_s)) + 1e-9);
        };
        judge(population->change(tones, development_s), result.knowing_population);
        judge(oracle_knowing_process(who, tones, development_s, oracle_options(options, 4000), of_oracles),
              result.knowing_process);
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

std::string OracleResult::line(const char* name) const {
  return fmt::format("{}: {:.0f}% right, {:.0f}% in exposure, {:.1f}% worse\n", name, 100 * right,
                     100 * exposure_right, 100 * worse);
}

std::string LoopResult::table() const {
  std::string text = "correction  right  exposure  fog   worse  covered(exp)  covered(dev)  width/stops\n";
  for (std::size_t i = 0; i < right.size(); ++i) {
    text += fmt::format("{:>10}  {:4.0f}%  {:7.0f}%  {:3.0f}%  {:4.1f}%  {:11.0f}%  {:11.0f}%  {:10.2f}\n",
                        i + 1, 100 * right[i], 100 * exposure_right[i], 100 * fog_right[i], 100 * worse[i],
                        100 * exposure_covered[i], 100 * development_covered[i], median_width_stops[i]);
  }
  text += fmt::format("rule of thumb (double or halve by the look): {:.0f}% right after one\n",
                      100 * rule_of_thumb_right);
  if (!oracles) return text;
  return text + knowing_process.line("oracle that knows the process, not scene, light or hand") +
         knowing_population.line("oracle that knows the simulation, not which photographer");
}

}  // namespace platewise::trial
