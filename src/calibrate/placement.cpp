#include "placement.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "foretold.h"
#include "log_light.h"
#include "platewise/stats/least_squares.h"

namespace platewise {
namespace {

constexpr double kNotBelievable = 1.5;  // as find_steps judges a cost
constexpr int kBackgroundMax = 2;       // patches of background that may go on with the row at either end

constexpr double kFlat = 0.01;      // log light: less is no step
constexpr double kWrongWay = 0.03;  // log light: a rise that no unevenness explains
constexpr double kDark = 0.03;      // linear light relative to the lightest step: flare may hide steps

// What a step that is lighter than the one before it costs. Development is uneven: on a plate, where steps
// are nearly alike, one may be a little lighter; a step that is none of the row is much lighter.
double cost_of_rise(double rise, const PlacementOptions& options) {
  constexpr double kFull = 1.5;
  if (rise < kWrongWay) return 0.0;
  constexpr double kSurelyWrong = 0.12;  // log light
  return options.hidden_steps ? kFull * std::min(1.0, rise / kSurelyWrong) : kFull;
}

double cost_of_alike_steps(const std::vector<Tooth>& steps, const PlacementOptions& options) {
  double cost = 0.0;
  double largest_rise = 0.0;
  const double lightest = light_from_log(steps.front().mean);
  for (std::size_t k = 0; k + 1 < steps.size(); ++k) {
    const double fall = steps[k].mean - steps[k + 1].mean;
    const double light = light_from_log(steps[k].mean);
    largest_rise = std::max(largest_rise, -fall);
    if (!options.hidden_steps) {
      cost += cost_of_rise(-fall, options);
      if (fall < kFlat && fall > -kWrongWay && light < kClipped && light > kDark * lightest) cost += 0.75;
    }
  }
  if (options.hidden_steps) return cost_of_rise(largest_rise, options);
  return ends_in_ground(steps, options.densities, options.bits) ? cost + kNotBelievable : cost;
}

// A step that belongs is bounded on the outside, and differs from what lies beside the row.
double cost_of_end(const Tooth& outside, const Tooth& end, const Tooth& inner,
                   const PlacementOptions& options) {
  double cost = 0.0;
  if (end.like_beside && !inner.like_beside) cost += options.hidden_steps ? 0.3 : 0.8;
  // The picture's end bounds a scanned wedge; steps of a plate that end there are only a guess.
  if (!outside.there) return cost + (options.hidden_steps ? 0.5 : 0.2);
  const double contrast = std::abs(outside.mean - end.mean);
  constexpr double kClearContrast = 0.04;
  cost += 0.5 * (1.0 - std::min(1.0, contrast / kClearContrast));
  const double here = end.mean - inner.mean;
  const double beyond = outside.mean - end.mean;
  const bool goes_on = std::abs(here) > 2.0 * kFlat && beyond / here > 0.5 && beyond / here < 1.8;
  if (goes_on && !outside.like_beside) cost += options.hidden_steps ? 0.5 : 1.5;
  return cost;
}

// A densest step that looks like the ground (a film's black border, or all that dark is flare) has no edge to
// be told by. Where its tone is the one foretold it is the step; where it plainly is not, it is the ground.
double cost_of_dense_end(const Comb& comb, int first, const std::vector<Tooth>& steps,
                         const PlacementOptions& options) {
  const std::size_t last = steps.size() - 1;
  const double cost = cost_of_end(comb.tooth(first + options.count), steps[last], steps[last - 1], options);
  const auto off = off_foretold(steps, options.densities, RowEnd::dense);
  if (!steps[last].like_beside || !off) return cost;
  if (*off < kAlike) return 0.0;
  constexpr double kPlainly = 1.5;
  return *off > kPlainly * kAlike ? std::max(cost, kNotBelievable) : cost;
}

// A lightest step whose tone is far from the one foretold is the sheet beside the wedge.
double cost_of_light_end(const Comb& comb, int first, const std::vector<Tooth>& steps,
                         const PlacementOptions& options) {
  const double cost = cost_of_end(comb.tooth(first - 1), steps[0], steps[1], options);
  const auto off = off_foretold(steps, options.densities, RowEnd::clear);
  constexpr double kNothingToTell = 0.3;
  const bool clipped = light_from_log(steps[0].mean) > kClipped;
  if (clipped && steps[0].like_beside) return std::min(cost, kNothingToTell);  // both at full scale
  if (!off) return cost;
  const double change = std::abs(options.densities[1] - options.densities[0]);
  constexpr double kAsEven = 0.25;  // of a step: wedges are that even
  // A film's clear rim looks like its clear step.
  if (steps[0].like_beside && *off < std::max(kAlike, kAsEven * change)) return 0.0;
  constexpr double kLeast = 0.02;   // log light: unevenness and densitometers explain less
  constexpr double kFarOff = 0.35;  // of a step
  const double plainly = std::max(kLeast, kFarOff * change);
  return *off > plainly ? std::max(cost, kNotBelievable) : cost;
}

// Patches that go on with the row but are taken for background should look like it.
double cost_of_dropped(const Tooth& dropped) {
  if (!dropped.beside_known) return 0.3;
  return dropped.like_beside ? 0.0 : 1.0;
}

// Distance of the steps' light from flare + gain * 10^-density, in log light; and how unusual the gain is.
double cost_of_densities(const std::vector<Tooth>& steps, const std::vector<double>& densities) {
  const auto n = static_cast<Eigen::Index>(steps.size());
  Eigen::MatrixXd design(n, 2);
  Eigen::VectorXd observed(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double light = std::max(1e-4, light_from_log(steps[static_cast<std::size_t>(i)].mean));
    constexpr double kDarkEnough = 0.01;  // below, flare and code values rule
    const double weight = 1.0 / (light + kDarkEnough);
    design(i, 0) = weight;
    design(i, 1) = weight * std::pow(10.0, -densities[static_cast<std::size_t>(i)]);
    observed(i) = weight * light;
  }
  const auto fit = linear_fit(design, observed);
  if (!fit || fit->parameters(1) <= 0.0) return 3.0;
  const double rms = std::sqrt(fit->sum_of_squares / static_cast<double>(n)) / std::log(10.0);
  constexpr double kUsualMisfit = 0.04;  // tone curves that are not quite the profile's
  constexpr double kGainSpread = 0.25;   // decades
  const double gain = std::log10(fit->parameters(1)) / kGainSpread;
  return 0.5 * std::min(4.0, rms / kUsualMisfit) + 0.25 * gain * gain;
}

std::optional<Placement> placed_at(const Comb& comb, int first, const PlacementOptions& options) {
  const std::vector<Tooth> steps = comb.teeth(first, options.count);
  if (!std::all_of(steps.begin(), steps.end(), [](const Tooth& tooth) { return tooth.there; }))
    return std::nullopt;
  Placement placement{.first = first, .wrong_way = cost_of_alike_steps(steps, options)};
  placement.ends =
      cost_of_light_end(comb, first, steps, options) + cost_of_dense_end(comb, first, steps, options);
  for (int k = 0; k < first; ++k) placement.left_over += cost_of_dropped(comb.tooth(k));
  for (int k = first + options.count; k < comb.patches(); ++k) {
    placement.left_over += cost_of_dropped(comb.tooth(k));
  }
  if (!options.densities.empty()) placement.densities = cost_of_densities(steps, options.densities);
  return placement;
}

// Where a wedge's measured densities are not quite even, they go with their own steps best: a placement that
// they fit worse than another pays for it, and one that they fit far better than any other is sure.
void weigh_unevenness(const Comb& comb, const PlacementOptions& options, std::vector<Placement>& all) {
  constexpr double kUnknown = 1e9;
  std::vector<double> off;
  off.reserve(all.size());
  for (const Placement& placement : all) {
    off.push_back(
        off_the_others(comb.teeth(placement.first, options.count), options.densities).value_or(kUnknown));
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (off[i] == kUnknown) continue;
    double others = kUnknown;
    for (std::size_t j = 0; j < all.size(); ++j) {
      if (j != i) others = std::min(others, off[j]);
    }
    constexpr double kFarBetter = 2.5;
    all[i].sure_by_tones = others < kUnknown && others > kFarBetter * off[i];
    all[i].densities += std::max(0.0, std::log(off[i] / others));
  }
}

// A patch before the first listed step that looks like the ground (a film's clear rim looks like its clear
// step) but has the tone of one more step is a step that the list does not name: unless the tones say for
// sure where the listed steps lie. At the dense end nothing can be told: that is noted.
void weigh_steps_outside(const Comb& comb, const PlacementOptions& options, Placement& placement) {
  const std::vector<Tooth> steps = comb.teeth(placement.first, options.count);
  const StepBefore before = step_before(comb.tooth(placement.first - 1), steps, options.densities);
  placement.maybe_a_step_before = before != StepBefore::no;
  placement.count_hidden_beyond =
      count_hidden_beyond(comb.tooth(placement.first + options.count), steps, options.densities);
  constexpr double kLess = 0.5;
  if (placement.sure_by_tones) {
    placement.left_over *= kLess;
  } else if (before == StepBefore::yes) {
    placement.left_over = std::max(placement.left_over, kNotBelievable);
  }
}

}  // namespace

std::vector<Placement> placements(const StepRow& row, const PlacementOptions& options) {
  const Comb comb(row);
  std::vector<Placement> all;
  const int seen = row.patches();
  for (int first = seen - options.count - kBackgroundMax; first <= kBackgroundMax; ++first) {
    const int dropped = std::max(0, first) + std::max(0, seen - first - options.count);
    if (dropped > kBackgroundMax) continue;
    if (const auto placement = placed_at(comb, first, options)) all.push_back(*placement);
  }
  if (!options.densities.empty()) {
    weigh_unevenness(comb, options, all);
    for (Placement& placement : all) weigh_steps_outside(comb, options, placement);
  }
  for (Placement& placement : all)
    placement.cost = placement.wrong_way + placement.ends + placement.left_over + placement.densities;
  std::sort(all.begin(), all.end(), [](const Placement& a, const Placement& b) { return a.cost < b.cost; });
  return all;
}

}  // namespace platewise
