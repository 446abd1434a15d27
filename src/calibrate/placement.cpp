#include "placement.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "log_light.h"
#include "platewise/stats/least_squares.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr double kAlike = 0.012;        // log light
constexpr double kNotBelievable = 1.5;  // as find_steps judges a cost
constexpr int kBackgroundMax = 2;       // patches of background that may go on with the row at either end

// What is seen at one tooth of the comb.
struct Tooth {
  double mean = std::numeric_limits<double>::quiet_NaN();  // log light
  bool there = false;
  bool like_beside = false;  // no different from what lies beside the row: background
  bool beside_known = false;
};

class Comb {
 public:
  explicit Comb(const StepRow& row) : row_(row), profile_(middle_profile(row)) {
    const double height = row.bottom - row.top;
    above_ = line(row.top - 0.25 * height, row.top - 0.08 * height);
    below_ = line(row.bottom + 0.08 * height, row.bottom + 0.25 * height);
  }

  [[nodiscard]] int patches() const { return row_.patches(); }

  [[nodiscard]] Tooth tooth(int k) const {
    const double a = row_.border(k);
    const double b = row_.border(k + 1);
    const double from = a + 0.2 * (b - a);
    const double to = b - 0.2 * (b - a);
    Tooth tooth;
    if (!(to > from)) return tooth;
    tooth.mean = mean(profile_, from, to);
    tooth.there = std::isfinite(tooth.mean);
    const double up = std::abs(mean(above_, from, to) - tooth.mean);
    const double down = std::abs(mean(below_, from, to) - tooth.mean);
    tooth.beside_known = std::isfinite(up) || std::isfinite(down);
    tooth.like_beside = up < kAlike && down < kAlike;  // false where there is nothing beside
    return tooth;
  }

 private:
  [[nodiscard]] std::vector<double> line(double from, double to) const {
    StepRow beside;
    beside.turned = row_.turned;
    beside.top = from;
    beside.bottom = to;
    if (from < 0.0 || to > row_.turned.rows || !(to > from)) return {};
    return middle_profile(beside);
  }
  static double mean(const std::vector<double>& line, double from, double to) {
    std::vector<double> values;
    for (long x = std::lround(from); x < std::max(std::lround(to), std::lround(from) + 1); ++x) {
      if (x < 0 || x >= static_cast<long>(line.size())) return std::numeric_limits<double>::quiet_NaN();
      if (std::isfinite(line[static_cast<std::size_t>(x)]))
        values.push_back(line[static_cast<std::size_t>(x)]);
    }
    return values.empty() ? std::numeric_limits<double>::quiet_NaN() : median(values);
  }

  const StepRow& row_;
  std::vector<double> profile_;
  std::vector<double> above_;
  std::vector<double> below_;
};

constexpr double kFlat = 0.01;      // log light: less is no step
constexpr double kWrongWay = 0.03;  // log light: a rise that no unevenness explains
constexpr double kDark = 0.03;      // linear light relative to the lightest step: flare may hide steps
constexpr double kClipped = 0.97;   // linear light near full scale

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
  return options.hidden_steps ? cost_of_rise(largest_rise, options) : cost;
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

// Log light by which an end step misses what the steps inward foretell by light = flare + gain * 10^-density.
// Empty where they cannot, or where the step is at full scale.
std::optional<double> off_foretold(std::vector<Tooth> steps, std::vector<double> densities, bool lightest) {
  constexpr double kReach = 0.8;  // density: farther off, the scanner's tone curve bends the law
  constexpr std::size_t kLeastInward = 3;
  if (densities.size() != steps.size() || steps.size() <= kLeastInward) return std::nullopt;
  if (!lightest) {
    std::reverse(steps.begin(), steps.end());
    std::reverse(densities.begin(), densities.end());
  }
  std::size_t count = kLeastInward;
  while (count + 1 < steps.size() && std::abs(densities[count + 1] - densities[0]) < kReach) ++count;
  const auto rows = static_cast<Eigen::Index>(count);
  Eigen::MatrixXd design(rows, 2);
  for (std::size_t k = 1; k <= count; ++k) {
    const double light = std::max(1e-4, light_from_log(steps[k].mean));
    design.row(static_cast<Eigen::Index>(k) - 1) << 1.0 / light, std::pow(10.0, -densities[k]) / light;
  }
  const auto law = linear_fit(design, Eigen::VectorXd::Ones(rows));
  if (!law || law->parameters(1) <= 0.0) return std::nullopt;
  const double light = law->parameters(0) + law->parameters(1) * std::pow(10.0, -densities[0]);
  if (light_from_log(steps[0].mean) > kClipped) return std::nullopt;
  return std::abs(log_light(light) - steps[0].mean);
}

// A densest step that looks like the ground (a film's black border, or all that dark is flare) has no edge to
// be told by. Where its tone is the one foretold it is the step; where it plainly is not, it is the ground.
double cost_of_dense_end(const Comb& comb, int first, const std::vector<Tooth>& steps,
                         const PlacementOptions& options) {
  const std::size_t last = steps.size() - 1;
  const double cost = cost_of_end(comb.tooth(first + options.count), steps[last], steps[last - 1], options);
  const auto off = off_foretold(steps, options.densities, false);
  if (!steps[last].like_beside || !off) return cost;
  if (*off < kAlike) return 0.0;
  constexpr double kPlainly = 1.5;
  return *off > kPlainly * kAlike ? std::max(cost, kNotBelievable) : cost;
}

// A lightest step whose tone is far from the one foretold is the sheet beside the wedge.
double cost_of_light_end(const Comb& comb, int first, const std::vector<Tooth>& steps,
                         const PlacementOptions& options) {
  const double cost = cost_of_end(comb.tooth(first - 1), steps[0], steps[1], options);
  const auto off = off_foretold(steps, options.densities, true);
  if (!off) return cost;
  constexpr double kLeast = 0.03;  // log light: unevenness and densitometers explain less
  const double plainly = std::max(kLeast, 0.5 * std::abs(options.densities[1] - options.densities[0]));
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
  std::vector<Tooth> steps;
  for (int k = 0; k < options.count; ++k) {
    steps.push_back(comb.tooth(first + k));
    if (!steps.back().there) return std::nullopt;
  }
  Placement placement{.first = first, .wrong_way = cost_of_alike_steps(steps, options)};
  placement.ends =
      cost_of_light_end(comb, first, steps, options) + cost_of_dense_end(comb, first, steps, options);
  for (int k = 0; k < first; ++k) placement.left_over += cost_of_dropped(comb.tooth(k));
  for (int k = first + options.count; k < comb.patches(); ++k) {
    placement.left_over += cost_of_dropped(comb.tooth(k));
  }
  if (!options.densities.empty()) placement.densities = cost_of_densities(steps, options.densities);
  placement.cost = placement.wrong_way + placement.ends + placement.left_over + placement.densities;
  return placement;
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
  std::sort(all.begin(), all.end(), [](const Placement& a, const Placement& b) { return a.cost < b.cost; });
  return all;
}

}  // namespace platewise
