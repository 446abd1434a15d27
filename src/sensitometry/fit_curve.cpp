#include "platewise/sensitometry/fit_curve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "curve_warnings.h"
#include "platewise/stats/distributions.h"
#include "platewise/stats/least_squares.h"
#include "platewise/stats/robust.h"
#include "shape_fit.h"

namespace platewise {
namespace {

constexpr double kSpeedPointOverFog = 0.10;  // ISO 6
constexpr double kIsoReach = 1.30;           // ISO 6, log exposure from the speed point
constexpr double kPositiveReach = 0.65;      // useful scale of a positive (common practice)
constexpr double kScaleStartOverFog = 0.04;  // ISO 6846
constexpr double kScaleEndShare = 0.90;      // ISO 6846
constexpr double kStillRising = 0.2;         // share of gamma at an end that counts as not yet flat
constexpr std::size_t kStepsMin = 4;

// What is read off a curve, in this order.
enum Reading { kFog, kGamma, kSpeedPoint, kAverageGradient, kScale, kStrongest, kReadings };

struct Ends {
  double weakest = 0.0;
  double strongest = 0.0;
  double reach = kIsoReach;
};

double log_exposure_where(const ShapeFit& fit, const Ends& ends, double silver) {
  constexpr double kBeyond = 4.0;  // decades: farther than any plate's scale
  double low = ends.weakest - kBeyond;
  double high = ends.strongest + kBeyond;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (fit.silver(middle) < silver ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double gradient_at(const ShapeFit& fit, double log_exposure) {
  constexpr double kHalf = 0.005;
  return (fit.silver(log_exposure + kHalf) - fit.silver(log_exposure - kHalf)) / (2.0 * kHalf);
}

// Greatest gradient near the middle, by golden section: every shape has a single steepest point.
double greatest_gradient(const ShapeFit& fit) {
  constexpr double kGolden = 0.6180339887498949;
  const double half = std::exp(fit.parameters(1) - fit.parameters(2));  // length of the straight part
  double low = fit.parameters(3) - half;
  double high = fit.parameters(3) + half;
  for (int i = 0; i < 40; ++i) {
    const double a = high - kGolden * (high - low);
    const double b = low + kGolden * (high - low);
    if (gradient_at(fit, a) > gradient_at(fit, b)) {
      high = b;
    } else {
      low = a;
    }
  }
  return gradient_at(fit, 0.5 * (low + high));
}

Eigen::VectorXd readings(const ShapeFit& fit, const Ends& ends) {
  const double fog = fit.parameters(0);
  const double strongest = fit.silver(ends.strongest);
  const double speed = log_exposure_where(fit, ends, fog + kSpeedPointOverFog);
  Eigen::VectorXd read(static_cast<Eigen::Index>(kReadings));
  read(kFog) = fog;
  read(kGamma) = greatest_gradient(fit);
  read(kSpeedPoint) = speed;
  read(kAverageGradient) = (fit.silver(speed + ends.reach) - fit.silver(speed)) / ends.reach;
  read(kScale) = log_exposure_where(fit, ends, fog + kScaleEndShare * (strongest - fog)) -
                 log_exposure_where(fit, ends, fog + kScaleStartOverFog);
  read(kStrongest) = strongest;
  return read;
}

// Mean over the shapes by evidence, with each shape's own variance and what they disagree about.
struct Averaged {
  Eigen::VectorXd value;
  Eigen::VectorXd variance;
};

Averaged averaged(const std::vector<ShapeFit>& fits, const Ends& ends) {
  // Evidences are tempered: steps share errors that the sum of squares counts as independent.
  constexpr double kTempering = 0.5;
  double best = -1e300;
  for (const ShapeFit& fit : fits) best = std::max(best, fit.log_evidence);
  Averaged sum{Eigen::VectorXd::Zero(kReadings), Eigen::VectorXd::Zero(kReadings)};
  double weights = 0.0;
  for (const ShapeFit& fit : fits) {
    const double weight = std::exp(kTempering * (fit.log_evidence - best));
    const Eigen::VectorXd value = readings(fit, ends);
    const auto moved = [&](const Eigen::VectorXd& parameters) {
      ShapeFit other = fit;
      other.parameters = parameters;
      return readings(other, ends);
    };
    const Eigen::MatrixXd jacobian = derivatives(moved, fit.parameters);
    const Eigen::VectorXd variance = (jacobian * fit.covariance * jacobian.transpose()).diagonal();
    sum.value += weight * value;
    sum.variance += weight * (variance + value.cwiseProduct(value));
    weights += weight;
  }
  sum.value /= weights;
  sum.variance = (sum.variance / weights - sum.value.cwiseProduct(sum.value)).cwiseMax(0.0);
  return sum;
}

std::vector<ShapeFit> fit_all_shapes(const SilverSteps& data, double scatter) {
  std::vector<ShapeFit> fits;
  for (const CurveShape& shape : curve_shapes()) {
    const ShapeFit fit = fit_shape(shape, data, scatter);
    if (!fit.converged) continue;
    fits.push_back(fit);
    const ShapeFit departing = fit_with_departure(fit, data, scatter);
    if (departing.converged) fits.push_back(departing);
  }
  return fits;
}

const ShapeFit& likeliest(const std::vector<ShapeFit>& fits) {
  return *std::max_element(fits.begin(), fits.end(), [](const ShapeFit& a, const ShapeFit& b) {
    return a.log_evidence < b.log_evidence;
  });
}

// Scatter of the steps about the likeliest shape beyond their own u; a usual value counts as two steps.
double scatter_beyond_u(const ShapeFit& fit, const SilverSteps& data) {
  constexpr double kUsualScatter = 0.01;  // density, unevenness of pouring and development (common practice)
  constexpr double kWorthSteps = 2.0;
  std::vector<double> residuals;
  for (const SilverStep& step : data.steps) residuals.push_back(step.silver - fit.silver(step.log_exposure));
  const double limit = 3.0 * std::max(robust_sigma(residuals), 0.003);
  double beyond = 0.0;
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    const double residual = std::min(std::abs(residuals[i]), limit);
    beyond += residual * residual - data.steps[i].u * data.steps[i].u;
  }
  const double count = static_cast<double>(residuals.size());
  const double free = std::max(0.0, count - static_cast<double>(fit.parameters.size()));
  const double variance = std::max(0.0, beyond / std::max(1.0, count)) * count / std::max(1.0, free);
  return std::sqrt((kWorthSteps * kUsualScatter * kUsualScatter + free * variance) / (kWorthSteps + free));
}

// Quantiles of Student's t over the normal's: few steps do not tell their own scatter well.
double few_steps_factor(std::size_t steps, std::size_t parameters) {
  constexpr double kPriorSteps = 2.0;
  const double free =
      std::max(0.0, static_cast<double>(steps) - static_cast<double>(parameters)) + kPriorSteps;
  constexpr double kTwoSided95 = 0.975;
  return student_t_quantile(kTwoSided95, free) / normal_quantile(kTwoSided95);
}

SilverSteps silver_steps(const std::vector<CurveStep>& steps, const CurveOptions& options) {
  const double sign = is_positive(options.kind) ? -1.0 : 1.0;
  const auto silver = [&](double density) { return sign * (density - options.support_density.value); };
  SilverSteps data;
  for (const CurveStep& step : steps) {
    constexpr double kLeastU = 0.002;  // no density is known better
    data.steps.push_back({step.log_exposure, silver(step.density), std::max(step.u, kLeastU)});
  }
  if (options.unexposed) data.unexposed = Quantity{silver(options.unexposed->value), options.unexposed->u};
  data.prior = curve_prior(options.kind);
  data.prior.fog = widened(data.prior.fog, options.support_density.u);
  return data;
}

std::optional<Problem> unusable(const SilverSteps& data, const CurveOptions& options) {
  if (data.steps.size() < kStepsMin) {
    return Problem{
        "curve",
        fmt::format("only {} steps can be used, at least {} are needed", data.steps.size(), kStepsMin),
        "expose more steps"};
  }
  std::vector<double> x;
  std::vector<double> y;
  std::vector<double> u;
  for (const SilverStep& step : data.steps) {
    x.push_back(step.log_exposure);
    y.push_back(step.silver);
    u.push_back(step.u);
  }
  const double length = x.back() - x.front();
  constexpr double kLeastLength = 0.2;  // log exposure: less than a stop draws no curve
  if (length < kLeastLength) {
    return Problem{"curve", "the steps cover less than a stop of exposure",
                   "use a longer wedge, or strips farther apart"};
  }
  const double growth = robust_line(x, y).slope * length;
  if (growth < 4.0 * median(u)) {
    return Problem{"curve", "density does not change with exposure in the direction this kind of plate needs",
                   options.exposed_by == ExposedBy::strips
                       ? "check --kind, and --from: the side of the first strip"
                       : "check --kind and which end of the wedge is clear"};
  }
  return std::nullopt;
}

CurveModel model_of_first_shape(const ShapeFit& fit) {
  CurveModel model;
  model.fog = fit.parameters(0);
  model.amplitude = std::exp(fit.parameters(1));
  model.asymmetry = std::exp(fit.parameters(4));
  model.slope = std::exp(fit.parameters(2) - fit.parameters(1)) *
                std::pow(1.0 + 1.0 / model.asymmetry, model.asymmetry + 1.0);
  model.middle = fit.parameters(3) - std::log(model.asymmetry) / model.slope;
  return model;
}

double rms_residual(const CurveModel& model, const SilverSteps& data) {
  double squares = 0.0;
  for (const SilverStep& step : data.steps) {
    const double residual = step.silver - model.silver(step.log_exposure);
    squares += residual * residual;
  }
  return std::sqrt(squares / static_cast<double>(data.steps.size()));
}

}  // namespace

Result<PlateCurve> fit_curve(std::vector<CurveStep> steps, const CurveOptions& options) {
  std::sort(steps.begin(), steps.end(),
            [](const CurveStep& a, const CurveStep& b) { return a.log_exposure < b.log_exposure; });
  const SilverSteps data = silver_steps(steps, options);
  if (const auto problem = unusable(data, options)) return tl::make_unexpected(*problem);

  std::vector<ShapeFit> fits;
  double scatter = 0.01;
  for (int round = 0; round < 3; ++round) {
    fits = fit_all_shapes(data, scatter);
    if (fits.empty()) return failure("curve", "no curve fits the steps", "check the steps for a wrong one");
    scatter = scatter_beyond_u(likeliest(fits), data);
  }
  const Ends ends{steps.front().log_exposure, steps.back().log_exposure,
                  is_positive(options.kind) ? kPositiveReach : kIsoReach};
  const Averaged read = averaged(fits, ends);
  const double factor = few_steps_factor(steps.size(), 5);
  const auto quantity = [&](Reading which) {
    return Quantity{read.value(which), factor * std::sqrt(read.variance(which))};
  };

  PlateCurve curve;
  curve.kind = options.kind;
  curve.development_s = options.development_s;
  curve.exposure_s = options.exposure_s;
  curve.support_density = options.support_density;
  curve.shared_log_exposure_u = options.shared_log_exposure_u;
  curve.fog = widened(quantity(kFog), options.support_density.u);
  curve.gamma = quantity(kGamma);
  curve.average_gradient = quantity(kAverageGradient);
  curve.speed_point_log_exposure = widened(quantity(kSpeedPoint), options.shared_log_exposure_u);
  curve.exposure_scale = quantity(kScale);
  const double support = options.support_density.value;
  const Quantity no_light = quantity(kFog);
  const Quantity strongest = quantity(kStrongest);
  if (is_positive(options.kind)) {
    curve.max_density = {support - no_light.value, no_light.u};
    curve.min_density = {support - strongest.value, strongest.u};
  } else {
    curve.max_density = {support + strongest.value, strongest.u};
    curve.min_density = {support + no_light.value, no_light.u};
  }
  const bool first_shape_fitted = fits.front().shape == curve_shapes().data();
  const ShapeFit first = first_shape_fitted ? fits.front() : fit_shape(curve_shapes().front(), data, 0.05);
  if (!first.converged) return failure("curve", "no curve fits the steps", "check the steps for a wrong one");
  curve.model = model_of_first_shape(first);
  curve.residual = rms_residual(curve.model, data);
  const ShapeFit& best = likeliest(fits);
  const double gamma = greatest_gradient(best);
  curve.shoulder_reached = gradient_at(best, ends.strongest) < kStillRising * gamma;
  curve.toe_reached = options.unexposed.has_value() || gradient_at(best, ends.weakest) < kStillRising * gamma;
  curve.steps = std::move(steps);
  add_curve_warnings(curve, options, ends.strongest, ends.reach);
  return curve;
}

}  // namespace platewise
