#include "device_models.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/least_squares.h"
#include "platewise/stats/monotone.h"

namespace platewise {
namespace {

constexpr double kLeastU = 0.002;  // log signal

struct Pooled {
  std::vector<double> log_signal;  // rising
  std::vector<double> density;     // falling
};

// Signals made monotone; steps whose signals were pooled become one, at their mean density.
Pooled pooled(std::vector<SignalStep> steps) {
  std::sort(steps.begin(), steps.end(),
            [](const SignalStep& a, const SignalStep& b) { return a.density > b.density; });
  std::vector<double> signals;
  std::vector<double> weights;
  for (const SignalStep& step : steps) {
    const double u = std::max(step.u, kLeastU);
    signals.push_back(step.log_signal);
    weights.push_back(1.0 / (u * u));
  }
  const std::vector<double> rising = isotonic(signals, weights);
  Pooled result;
  constexpr double kSame = 1e-9;
  for (std::size_t i = 0; i < steps.size();) {
    double sum = 0.0;
    std::size_t j = i;
    for (; j < steps.size() && rising[j] - rising[i] < kSame; ++j) sum += steps[j].density;
    result.log_signal.push_back(rising[i]);
    result.density.push_back(sum / static_cast<double>(j - i));
    i = j;
  }
  return result;
}

Knots pooled_knots(const std::vector<SignalStep>& steps) {
  const Pooled pool = pooled(steps);
  Knots knots;
  for (std::size_t i = 0; i < pool.density.size(); ++i) {
    knots.push_back({pool.log_signal[i], pool.density[i], 0.0});
  }
  return knots;
}

// Log signals from the least to the greatest of the steps, finely.
std::vector<double> fine_log_signals(const std::vector<SignalStep>& steps) {
  const auto [least, most] = std::minmax_element(
      steps.begin(), steps.end(),
      [](const SignalStep& a, const SignalStep& b) { return a.log_signal < b.log_signal; });
  constexpr double kSpacing = 0.03;
  const double length = most->log_signal - least->log_signal;
  const auto gaps = std::max<long>(1, std::lround(length / kSpacing));
  std::vector<double> result;
  for (long i = 0; i <= gaps; ++i) {
    result.push_back(least->log_signal + length * static_cast<double>(i) / static_cast<double>(gaps));
  }
  return result;
}

Knots law_knots(const std::vector<SignalStep>& steps, bool bent) {
  const LightLaw law = fit_light_law(steps);
  const Pooled pool = pooled(steps);
  std::vector<double> at;
  std::vector<double> off;
  for (std::size_t i = 0; i < pool.density.size(); ++i) {
    const double of_law = law.density(std::pow(10.0, pool.log_signal[i]));
    if (!std::isfinite(of_law)) continue;
    at.push_back(pool.log_signal[i]);
    off.push_back(bent ? pool.density[i] - of_law : 0.0);
  }
  if (at.empty()) return pooled_knots(steps);
  const MonotoneCubic correction(at, off);
  Knots knots;
  for (const double log_signal : fine_log_signals(steps)) {
    const double within = std::clamp(log_signal, at.front(), at.back());
    const double density = law.density(std::pow(10.0, log_signal)) + correction(within);
    if (!std::isfinite(density)) continue;
    // A bent law that turns back somewhere would be no device curve: keep it falling.
    constexpr double kLeastFall = 1e-4;
    if (!knots.empty() && density > knots.back().density - kLeastFall) continue;
    knots.push_back({log_signal, density, 0.0});
  }
  return knots.size() < 2 ? pooled_knots(steps) : knots;
}

}  // namespace

double LightLaw::light(double of_density) const {
  return flare + gain * std::pow(10.0, -contrast * of_density);
}

double LightLaw::density(double of_light) const {
  return -std::log10((of_light - flare) / gain) / contrast;
}

LightLaw fit_light_law(const std::vector<SignalStep>& steps) {
  const auto law_of = [](const Eigen::VectorXd& p) {
    return LightLaw{std::exp(p(0)), std::exp(p(1)), std::exp(p(2))};
  };
  double least = 0.0;
  double most = -9.0;
  for (const SignalStep& step : steps) {
    least = std::min(least, step.log_signal);
    most = std::max(most, step.log_signal);
  }
  const double darkest = std::pow(10.0, least);
  const Residuals residuals = [&](const Eigen::VectorXd& p) {
    const LightLaw law = law_of(p);
    Eigen::VectorXd r(static_cast<Eigen::Index>(steps.size()) + 2);
    Eigen::Index next = 0;
    for (const SignalStep& step : steps) {
      r(next++) = (std::log10(law.light(step.density)) - step.log_signal) / std::hypot(step.u, 0.003);
    }
    r(next++) = p(1) / 0.3;  // contrast is near 1
    r(next++) =
        (p(2) - std::log(0.3 * darkest)) / 3.0;  // the darkest step bounds the flare, weakly from below
    return r;
  };
  Eigen::VectorXd start(3);
  start << most * std::log(10.0), 0.0, std::log(0.3 * darkest);
  NonlinearOptions options;
  options.huber_reach = 3.0;
  options.tolerance = 1e-10;
  options.evaluations_max = 200;
  return law_of(nonlinear_fit(residuals, start, options).parameters);
}

Knots knots_of(DeviceModel model, const std::vector<SignalStep>& steps) {
  if (model == DeviceModel::pooled_steps) return pooled_knots(steps);
  return law_knots(steps, model == DeviceModel::bent_light_law);
}

double density_at(const Knots& knots, double log_signal) {
  DeviceCurve curve;
  curve.knots = knots;
  return density_of(curve, std::pow(10.0, log_signal)).value;
}

std::vector<double> left_out_errors(DeviceModel model, const std::vector<SignalStep>& steps) {
  std::vector<double> errors;
  for (std::size_t out = 1; out + 1 < steps.size(); ++out) {
    std::vector<SignalStep> others = steps;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(out));
    errors.push_back(density_at(knots_of(model, others), steps[out].log_signal) - steps[out].density);
  }
  return errors;
}

}  // namespace platewise
