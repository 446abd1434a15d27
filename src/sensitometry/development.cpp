#include "platewise/sensitometry/development.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cassert>
#include <cmath>

namespace platewise {
namespace {

constexpr double kNoGrowthPriorWeight = 0.5;

// Posterior of the level for one rate, and the log of its marginal likelihood. Gaussian throughout.
struct LevelFit {
  Quantity level;
  double log_likelihood = 0.0;
};

LevelFit fit_level(std::span<const TimedQuantity> values, const GrowthPrior& prior,
                   const Growth::Candidate& candidate, double reference_s) {
  const auto n = static_cast<Eigen::Index>(values.size());
  Eigen::VectorXd growth(n);
  Eigen::VectorXd difference(n);
  Eigen::VectorXd variance(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const TimedQuantity& value = values[static_cast<std::size_t>(i)];
    growth(i) = candidate.growth(value.development_s, reference_s);
    difference(i) = value.value.value - prior.level.value * growth(i);
    variance(i) = value.value.u * value.value.u + prior.plate_scatter * prior.plate_scatter;
  }
  const double prior_variance = prior.level.u * prior.level.u;
  const Eigen::VectorXd weighted = growth.cwiseQuotient(variance);
  const double precision = 1.0 / prior_variance + growth.dot(weighted);
  const double shift = difference.dot(weighted) / precision;
  LevelFit fit;
  fit.level = {prior.level.value + shift, std::sqrt(1.0 / precision)};
  // Woodbury: chi-square and determinant of diag(variance) + prior_variance growth growth^T
  const double chi_square = difference.cwiseAbs2().cwiseQuotient(variance).sum() - precision * shift * shift;
  fit.log_likelihood =
      -0.5 * chi_square - 0.5 * variance.array().log().sum() - 0.5 * std::log(precision * prior_variance);
  return fit;
}

std::vector<Growth::Candidate> prior_candidates(const GrowthPrior& prior, double reference_s) {
  std::vector<Growth::Candidate> candidates{{kNoGrowthPriorWeight, 0.0, {}}};
  constexpr int kRates = 61;
  constexpr double kReach = 3.0;  // sigmas of the prior
  double sum = 0.0;
  for (int i = 0; i < kRates; ++i) {
    const double z = kReach * (2.0 * i / (kRates - 1) - 1.0);
    const double rate = std::exp(prior.log_rate_times_mean + prior.log_rate_u * z) / reference_s;
    candidates.push_back({std::exp(-0.5 * z * z), rate, {}});
    sum += candidates.back().weight;
  }
  for (std::size_t i = 1; i < candidates.size(); ++i) {
    candidates[i].weight *= (1.0 - kNoGrowthPriorWeight) / sum;
  }
  return candidates;
}

struct Moments {
  double weight = 0.0;
  double mean = 0.0;
  double square = 0.0;

  void add(double w, Quantity value) {
    weight += w;
    mean += w * value.value;
    square += w * (value.value * value.value + value.u * value.u);
  }
  [[nodiscard]] Quantity finalised() const {
    const double centre = mean / weight;
    return {centre, std::sqrt(std::max(0.0, square / weight - centre * centre))};
  }
};

// Silver that the model gives at an exposure, with the u of the nearer end of the curve.
Quantity highlight_silver(const PlateCurve& curve, double log_exposure) {
  const Quantity strongest = is_positive(curve.kind) ? curve.min_density : curve.max_density;
  return {curve.model.silver(log_exposure), std::hypot(strongest.u, curve.residual)};
}

double absolute_shift(const PlateCurve& curve) {
  return curve.exposure_s ? std::log10(*curve.exposure_s) : 0.0;
}

}  // namespace

double Growth::Candidate::growth(double development_s, double reference) const {
  if (rate_per_s == 0.0) return 1.0;
  return std::expm1(-rate_per_s * development_s) / std::expm1(-rate_per_s * reference);
}

Quantity Growth::at(double development_s) const {
  Moments moments;
  for (const Candidate& candidate : candidates) {
    moments.add(candidate.weight, candidate.growth(development_s, reference_s) * candidate.level);
  }
  return moments.finalised();
}

Quantity Growth::change(double from_s, double to_s) const {
  Moments moments;
  for (const Candidate& candidate : candidates) {
    const double difference = candidate.growth(to_s, reference_s) - candidate.growth(from_s, reference_s);
    moments.add(candidate.weight, difference * candidate.level);
  }
  return moments.finalised();
}

double Growth::no_growth_probability() const {
  double probability = 0.0;
  for (const Candidate& candidate : candidates) {
    if (candidate.rate_per_s == 0.0) probability += candidate.weight;
  }
  return probability;
}

Growth fit_growth(std::span<const TimedQuantity> values, const GrowthPrior& prior) {
  assert(!values.empty());
  double log_time = 0.0;
  for (const TimedQuantity& value : values) log_time += std::log(value.development_s);
  Growth growth;
  growth.reference_s = std::exp(log_time / static_cast<double>(values.size()));
  growth.candidates = prior_candidates(prior, growth.reference_s);
  std::vector<double> log_weights;
  for (Growth::Candidate& candidate : growth.candidates) {
    const LevelFit fit = fit_level(values, prior, candidate, growth.reference_s);
    candidate.level = fit.level;
    log_weights.push_back(std::log(candidate.weight) + fit.log_likelihood);
  }
  const double best = *std::max_element(log_weights.begin(), log_weights.end());
  double sum = 0.0;
  for (double& weight : log_weights) sum += weight = std::exp(weight - best);
  for (std::size_t i = 0; i < log_weights.size(); ++i) growth.candidates[i].weight = log_weights[i] / sum;
  return growth;
}

std::optional<DevelopmentModel> fit_development(std::span<const PlateCurve> curves) {
  std::vector<PlateCurve> timed;
  for (const PlateCurve& curve : curves) {
    if (curve.development_s && !curve.steps.empty()) timed.push_back(curve);
  }
  if (timed.empty()) return std::nullopt;
  const bool absolute = std::all_of(timed.begin(), timed.end(),
                                    [](const PlateCurve& curve) { return curve.exposure_s.has_value(); });
  const auto shift = [absolute](const PlateCurve& curve) { return absolute ? absolute_shift(curve) : 0.0; };
  double strongest = 1e9;
  for (const PlateCurve& curve : timed) {
    strongest = std::min(strongest, curve.steps.back().log_exposure + shift(curve));
  }
  std::vector<TimedQuantity> gamma;
  std::vector<TimedQuantity> highlight;
  std::vector<TimedQuantity> fog;
  for (const PlateCurve& curve : timed) {
    const double time = *curve.development_s;
    gamma.push_back({time, curve.gamma});
    highlight.push_back({time, highlight_silver(curve, strongest - shift(curve))});
    fog.push_back({time, curve.fog});
  }
  // Levels before any plate, and scatter from plate to plate: common practice, no source.
  GrowthPrior of_gamma{{1.3, 0.8}};
  of_gamma.plate_scatter = 0.06;
  GrowthPrior of_highlight{{1.0, 0.7}};
  of_highlight.plate_scatter = 0.04;
  GrowthPrior of_fog{{0.05, 0.2}};
  of_fog.plate_scatter = 0.01;
  return DevelopmentModel{fit_growth(gamma, of_gamma), fit_growth(highlight, of_highlight),
                          fit_growth(fog, of_fog), strongest};
}

double GrowthLaw::at(double time_s) const {
  return -limit * std::expm1(-rate_per_s * time_s);
}

std::optional<double> GrowthLaw::time_for(double value) const {
  const double share = value / limit;
  if (!(share >= 0.0 && share < 1.0)) return std::nullopt;
  return -std::log1p(-share) / rate_per_s;
}

std::optional<GrowthLaw> law_from_two_times(double time_s, double value, double value_at_double) {
  if (!(value > 0.0 && value_at_double > value && value_at_double < 2.0 * value)) return std::nullopt;
  return GrowthLaw{value * value / (2.0 * value - value_at_double),
                   std::log(value / (value_at_double - value)) / time_s};
}

}  // namespace platewise
