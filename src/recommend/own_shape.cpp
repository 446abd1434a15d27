#include "own_shape.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

constexpr double kTableStep = 0.02;   // log10 exposure
constexpr double kBeyondSteps = 2.0;  // log10 exposure either way
constexpr double kReach = 0.12;       // one sigma of nearness: under one step of the common wedge (0.15)

struct Stray {
  double log_exposure;
  double silver;
};

std::vector<Stray> strays_of(const PlateCurve& curve) {
  std::vector<Stray> strays;
  const double sign = is_positive(curve.kind) ? -1.0 : 1.0;
  if (!curve.support_density) return strays;
  for (const CurveStep& step : curve.steps) {
    const double silver = sign * (step.density - curve.support_density->value);
    strays.push_back({step.log_exposure, silver - curve.model.silver(step.log_exposure)});
  }
  return strays;
}

// Mean of what the steps stray by, the nearer ones counting more.
double stray_at(const std::vector<Stray>& strays, double log_exposure) {
  if (strays.empty()) return 0.0;
  const auto [first, last] =
      std::minmax_element(strays.begin(), strays.end(),
                          [](const Stray& a, const Stray& b) { return a.log_exposure < b.log_exposure; });
  const double at = std::clamp(log_exposure, first->log_exposure, last->log_exposure);
  double sum = 0.0;
  double weights = 0.0;
  for (const Stray& stray : strays) {
    const double z = (stray.log_exposure - at) / kReach;
    const double weight = std::exp(-0.5 * z * z);
    sum += weight * stray.silver;
    weights += weight;
  }
  return sum / weights;
}

double largest_u(const PlateCurve& curve, const std::vector<Stray>& strays) {
  const double stated = is_positive(curve.kind) ? curve.min_density.u : curve.max_density.u;
  constexpr double kExtrapolated = 0.1;  // of the model's height, where the shoulder was not reached
  if (!curve.shoulder_reached) return std::max(stated, kExtrapolated * curve.model.amplitude);
  if (strays.empty()) return stated;
  double squares = 0.0;
  for (const Stray& stray : strays) {
    const double left = stray.silver - stray_at(strays, stray.log_exposure);
    squares += left * left;
  }
  constexpr double kStepsNear = 2.0;  // that count at one place of the curve
  constexpr double kLeast = 0.005;
  return std::max(kLeast, std::sqrt(squares / (kStepsNear * static_cast<double>(strays.size()))));
}

}  // namespace

OwnShape::OwnShape(const PlateCurve& curve) {
  const std::vector<Stray> strays = strays_of(curve);
  double low = curve.model.middle;
  double high = low;
  for (const Stray& stray : strays) {
    low = std::min(low, stray.log_exposure);
    high = std::max(high, stray.log_exposure);
  }
  first_ = low - kBeyondSteps;
  const double last = high + kBeyondSteps;
  std::vector<double> silver;
  for (double x = first_; x <= last; x += kTableStep) {
    silver.push_back(curve.model.silver(x) + stray_at(strays, x));
  }
  fog_ = curve.model.fog + stray_at(strays, first_);
  largest_ = {curve.model.fog + curve.model.amplitude + stray_at(strays, last), largest_u(curve, strays)};
  double most = 0.0;
  constexpr double kRise = 1e-9;  // so that every share has one log exposure
  for (const double value : silver) {
    most = std::max(most + kRise, (value - fog_) / (largest_.value - fog_));
    shares_.push_back(most);
  }
}

double OwnShape::share(double log_exposure) const {
  const double at = (log_exposure - first_) / kTableStep;
  if (at <= 0.0) return shares_.front();
  const auto below = static_cast<std::size_t>(at);
  if (below + 1 >= shares_.size()) return shares_.back();
  return shares_[below] + (at - static_cast<double>(below)) * (shares_[below + 1] - shares_[below]);
}

double OwnShape::log_exposure_for(double share) const {
  const auto above = std::lower_bound(shares_.begin(), shares_.end(), share);
  const auto index = static_cast<double>(above - shares_.begin());
  if (above == shares_.begin()) return first_;
  if (above == shares_.end()) return first_ + kTableStep * (index - 1.0);
  const double part = (share - *(above - 1)) / (*above - *(above - 1));
  return first_ + kTableStep * (index - 1.0 + part);
}

}  // namespace platewise
