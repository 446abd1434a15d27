#include "foretold.h"

#include <algorithm>
#include <cmath>

#include "device_models.h"
#include "log_light.h"
#include "platewise/stats/least_squares.h"

namespace platewise {
namespace {

struct Law {
  double flare = 0.0;
  double gain = 1.0;

  [[nodiscard]] double tone(double density) const {  // log light
    return log_light(flare + gain * std::pow(10.0, -density));
  }
};

// Through steps `from` to `to`; differences count in proportion to the light.
std::optional<Law> law_through(const std::vector<Tooth>& steps, const std::vector<double>& densities,
                               std::size_t from, std::size_t to) {
  Eigen::MatrixXd design(static_cast<Eigen::Index>(to - from), 2);
  for (std::size_t k = from; k < to; ++k) {
    const double light = std::max(1e-4, light_from_log(steps[k].mean));
    design.row(static_cast<Eigen::Index>(k - from)) << 1.0 / light, std::pow(10.0, -densities[k]) / light;
  }
  const auto fit = linear_fit(design, Eigen::VectorXd::Ones(design.rows()));
  if (!fit || fit->parameters(1) <= 0.0) return std::nullopt;
  return Law{fit->parameters(0), fit->parameters(1)};
}

// The law through the steps inward of the first, which is at one end of the row.
std::optional<Law> law_inward(const std::vector<Tooth>& steps, const std::vector<double>& densities) {
  constexpr double kReach = 0.8;  // density: farther off, the scanner's tone curve bends the law
  constexpr std::size_t kLeastInward = 3;
  if (densities.size() != steps.size() || steps.size() <= kLeastInward) return std::nullopt;
  std::size_t count = kLeastInward;
  while (count + 1 < steps.size() && std::abs(densities[count + 1] - densities[0]) < kReach) ++count;
  return law_through(steps, densities, 1, count + 1);
}

void from_the_end(RowEnd end, std::vector<Tooth>& steps, std::vector<double>& densities) {
  if (end == RowEnd::clear) return;
  std::reverse(steps.begin(), steps.end());
  std::reverse(densities.begin(), densities.end());
}

}  // namespace

std::optional<double> off_foretold(std::vector<Tooth> steps, std::vector<double> densities, RowEnd end) {
  from_the_end(end, steps, densities);
  const auto law = law_inward(steps, densities);
  if (!law || light_from_log(steps[0].mean) > kClipped) return std::nullopt;
  return std::abs(law->tone(densities[0]) - steps[0].mean);
}

StepBefore step_before(const Tooth& beyond, std::vector<Tooth> steps, std::vector<double> densities) {
  constexpr double kSeen = 0.02;    // log light: less is not told apart
  constexpr double kBase = 0.075;   // density of a clear base over the bare bed, at most (common practice)
  constexpr double kAsEven = 0.35;  // of the row's own change: wedges, and laws gone on, are that even
  if (!beyond.there || densities.size() != steps.size() || densities.size() < 2) return StepBefore::no;
  const double change = beyond.mean - steps.front().mean;
  if (change < kSeen || light_from_log(beyond.mean) > kClipped) return StepBefore::no;
  densities.insert(densities.begin(), 2.0 * densities[0] - densities[1]);
  steps.insert(steps.begin(), beyond);
  const auto off = off_foretold(steps, densities, RowEnd::clear);
  if (!off || *off > kAsEven * change) return StepBefore::no;
  return change < kBase ? StepBefore::maybe : StepBefore::yes;
}

bool count_hidden_beyond(const Tooth& beyond, std::vector<Tooth> steps, std::vector<double> densities) {
  constexpr double kAbout = 2.0;  // the law is gone on by a step
  if (densities.size() != steps.size() || densities.size() < 2) return false;
  if (steps.back().like_beside) return true;
  if (!beyond.there) return false;
  densities.push_back(2.0 * densities.back() - densities[densities.size() - 2]);
  steps.push_back(beyond);
  const auto off = off_foretold(std::move(steps), std::move(densities), RowEnd::dense);
  return off && *off < kAbout * kAlike;
}

bool ends_in_ground(const std::vector<Tooth>& steps, const std::vector<double>& densities, int bits) {
  constexpr double kSeen = 0.02;    // log light
  constexpr double kAtOnce = 0.25;  // of the fall before, in proportion to the densities
  constexpr double kBlack = 2e-4;   // light: the scanner's black point cuts falls off too
  constexpr double kEightBitStep = 1.0 / (12.92 * 255.0);  // in the dark
  constexpr double kSureCodes = 2.5;
  for (std::size_t k = 0; k + 2 < steps.size() && densities.size() == steps.size(); ++k) {
    if (!steps[k + 1].like_beside || !steps[k + 2].like_beside) continue;
    const double light = light_from_log(steps[k].mean);
    const double darker = light_from_log(steps[k + 1].mean);
    const double fall = steps[k].mean - steps[k + 1].mean;
    const double next = steps[k + 1].mean - steps[k + 2].mean;
    const double wanted = (densities[k + 2] - densities[k + 1]) / (densities[k + 1] - densities[k]);
    const bool seen = fall > kSeen && (bits > 8 || light - darker > kSureCodes * kEightBitStep);
    if (seen && darker > kBlack && std::abs(next) < kAtOnce * wanted * fall) return true;
  }
  return false;
}

std::optional<double> off_the_others(const std::vector<Tooth>& teeth, const std::vector<double>& densities) {
  constexpr std::size_t kEnough = 6;
  constexpr double kDarkest = 0.003;  // light: below, flare and code values rule
  constexpr double kLeast = 0.002;    // density: no wedge file is better
  std::vector<SignalStep> steps;
  for (std::size_t k = 0; k < teeth.size(); ++k) {
    const double light = light_from_log(teeth[k].mean);
    if (light > kDarkest && light < kClipped) steps.push_back({densities[k], std::log10(light), 0.0});
  }
  if (steps.size() < kEnough) return std::nullopt;
  double squares = 0.0;
  const std::vector<double> errors = left_out_errors(DeviceModel::bent_light_law, steps);
  for (const double error : errors) squares += error * error;
  return std::hypot(kLeast, std::sqrt(squares / static_cast<double>(errors.size())));
}

}  // namespace platewise
