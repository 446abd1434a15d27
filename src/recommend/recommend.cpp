#include "platewise/recommend/recommend.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "alternatives.h"
#include "decide.h"
#include "diagnose.h"
#include "evidence.h"
#include "explain.h"
#include "platewise/recommend/exposure_arithmetic.h"
#include "platewise/stats/random.h"
#include "priors.h"
#include "sampler.h"

namespace platewise {
namespace {

// Development is changed at most by these factors at once (common practice: by eye it is a matter of
// seconds, and half or double the time is another plate).
constexpr double kLeastDevelopment = 0.5;
constexpr double kMostDevelopment = 2.0;
constexpr double kPercent = 100.0;
// What a plate that is worse than repeating costs, in tolerances. Higher fees make fewer plates worse and
// fewer right; without a curve a higher one leaves plates as they are that the trade's tables would change
// (tests/recommend/README.md has the figures).
constexpr double kWorseFee = 2.0;
constexpr double kWorseFeeWithCurve = 4.0;

// A plate says what its own hand and film did; the setting that the next plate repeats is what is advised on.
// The scatter between the two is added to each draw.
std::vector<ProcessState> draws_for_settings(const Evidence& evidence, const RecommendOptions& options) {
  const Priors& prior = priors(options.kind);
  const auto log_likelihood = [&](const Eigen::VectorXd& z) { return evidence.log_likelihood(z); };
  const Eigen::MatrixXd z =
      draw_posterior(evidence.dimensions(), log_likelihood, {.draws = options.draws, .seed = options.seed});
  Random random = Random(options.seed).fork(1);
  std::vector<ProcessState> draws;
  draws.reserve(static_cast<std::size_t>(z.cols()));
  for (Eigen::Index i = 0; i < z.cols(); ++i) {
    ProcessState state = evidence.state(z.col(i));
    state.exposure_error_stops += prior.hand_scatter.sd * random.normal();
    if (state.measured && options.settings.development_s) {
      state.log_development = std::log(*options.settings.development_s) - state.log_aim_time;
    } else {
      state.log_development += prior.hand_scatter_development.sd * random.normal();
    }
    draws.push_back(state);
  }
  return draws;
}

// Smaller changes are within the scatter of the hand (handbook, numbers.csv: smallest change worth proposing
// 1/3 stop, 1/4 at least; half of that with an own curve). Development goes in steps of 15-25%.
ChosenChange worth_proposing(ChosenChange change, bool own_curve) {
  constexpr double kLeast_stops = 0.25;
  constexpr double kLeastWithCurve_stops = 0.125;
  constexpr double kLeastLogDevelopment = 0.08;
  const double least = own_curve ? kLeastWithCurve_stops : kLeast_stops;
  if (std::abs(change.exposure_stops) < least - 1e-9) change.exposure_stops = 0.0;
  if (std::abs(change.log_development) < kLeastLogDevelopment) change.log_development = 0.0;
  return change;
}

struct Spread {
  double mean = 0.0;
  double sd = 0.0;
};
template <class Value>
Spread spread(const std::vector<ProcessState>& draws, Value value) {
  double sum = 0.0;
  double squares = 0.0;
  for (const ProcessState& draw : draws) {
    sum += value(draw);
    squares += value(draw) * value(draw);
  }
  const auto count = static_cast<double>(draws.size());
  return {sum / count, std::sqrt(std::max(0.0, squares / count - sum * sum / (count * count)))};
}

Change exposure_change(double stops, const NeededChange& needed, const PlateSettings& settings) {
  const std::optional<double>& from_s = settings.exposure_s;
  Change change{.change = stops, .low = needed.low, .high = needed.high, .from_s = from_s};
  if (from_s) {
    change.to_exact_s = time_after(*from_s, stops, settings.schwarzschild_p.value_or(1.0));
    change.to_s = stops == 0.0 ? *from_s : hand_exposure_s(*change.to_exact_s);
  }
  return change;
}

Change development_change(double log_ratio, const NeededChange& needed, const std::optional<double>& from_s) {
  const auto percent = [](double log_change) { return kPercent * std::expm1(log_change); };
  Change change{.change = percent(log_ratio),
                .low = percent(needed.low),
                .high = percent(needed.high),
                .from_s = from_s};
  if (from_s) {
    change.to_exact_s = *from_s * std::exp(log_ratio);
    change.to_s = log_ratio == 0.0 ? *from_s : hand_development_s(*change.to_exact_s);
  }
  return change;
}

// A veil that came from a leak is mended at the leak; only a plate that is plainly short of light gets more.
ChosenChange without_answering_the_leak(ChosenChange change, std::span<const ProcessState> draws) {
  change.log_development = 0.0;
  if (needed_exposure(draws, 0.0).low < kRightExposure_stops) change.exposure_stops = 0.0;
  return change;
}

bool says_something(const Tones& tones) {
  return tones.range || tones.floor_over_margin || tones.fog || tones.margin_fog ||
         (tones.highlight_density && tones.support_density);
}

}  // namespace

std::optional<Recommendation> recommend(const Tones& tones, const RecommendOptions& options) {
  if (!says_something(tones)) return std::nullopt;
  const Evidence evidence(tones, options);
  const std::vector<ProcessState> draws = draws_for_settings(evidence, options);

  const double limit =
      evidence.has_own_curve() ? kLargestChangeWithCurve_stops : kLargestChangeWithoutCurve_stops;
  ChosenChange change =
      choose_change(draws, {.exposure_stops = limit,
                            .development_less = std::log(kLeastDevelopment),
                            .development_more = std::log(kMostDevelopment),
                            .worse_fee = evidence.has_own_curve() ? kWorseFeeWithCurve : kWorseFee});
  change = worth_proposing(change, evidence.has_own_curve());
  if (options.light_leak) change = without_answering_the_leak(change, draws);

  const Spread error = spread(draws, [](const auto& draw) { return draw.exposure_error_stops; });
  const Spread time_error = spread(draws, [](const auto& draw) { return std::expm1(draw.log_development); });
  const Spread veil = spread(
      draws, [](const auto& draw) { return developed_fog(draw, draw.log_development) + draw.chemical_fog; });
  Recommendation advice{
      .exposure = exposure_change(change.exposure_stops, needed_exposure(draws, change.exposure_stops),
                                  options.settings),
      .development =
          development_change(change.log_development, needed_development(draws, change.log_development),
                             options.settings.development_s),
      .exposure_error_stops = error.mean,
      .exposure_error_u = error.sd,
      .development_error_fraction = time_error.mean,
      .development_error_u = time_error.sd,
      .veil_density = veil.mean,
      .veil_u = veil.sd};
  advice.probability = diagnosis_probabilities(draws, options.light_leak);
  advice.diagnosis = likeliest(advice.probability);
  explain(advice, tones, options, draws);
  offer_alternatives(advice, tones, options);
  return advice;
}

}  // namespace platewise
