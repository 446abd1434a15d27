#include "accuracy/process.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace platewise::heldout {
namespace {

// Relative log H and net density; source as in the header.
constexpr std::array<std::array<double, 2>, 23> kTraced = {
    {{0.8, 0.07}, {0.9, 0.10}, {1.0, 0.17}, {1.1, 0.30}, {1.2, 0.44}, {1.3, 0.57}, {1.4, 0.70}, {1.5, 0.81},
     {1.6, 0.91}, {1.7, 0.96}, {1.8, 1.07}, {1.9, 1.13}, {2.0, 1.18}, {2.1, 1.22}, {2.3, 1.30}, {2.5, 1.38},
     {2.7, 1.43}, {2.9, 1.49}, {3.1, 1.57}, {3.3, 1.61}, {3.6, 1.65}, {4.0, 1.68}, {5.0, 1.70}}};
// Beyond 3.1 and below 0.8 nothing was traced: a level shoulder and an exponential toe are assumed.
constexpr double kToeDecades = 0.22;

double traced_net_density(double x) {
  if (x <= kTraced.front()[0]) return kTraced.front()[1] * std::exp((x - kTraced.front()[0]) / kToeDecades);
  if (x >= kTraced.back()[0]) return kTraced.back()[1];
  std::size_t i = 1;
  while (kTraced[i][0] < x) ++i;
  const double share = (x - kTraced[i - 1][0]) / (kTraced[i][0] - kTraced[i - 1][0]);
  return kTraced[i - 1][1] + share * (kTraced[i][1] - kTraced[i - 1][1]);
}

double erf_silver(const Process& process, double x) {
  // The middle sits where the traced curve is at half height, so that highlight_x means the same to both.
  constexpr double kMiddle = 1.25;
  const double steepness = std::sqrt(std::numbers::pi) * process.gamma / process.amplitude;
  return process.amplitude * 0.5 * (1.0 + std::erf(steepness * (x - kMiddle)));
}

double density_at(const Process& process, double log_exposure) {
  const double x = process.highlight_x + log_exposure;
  const bool exposed = log_exposure > -8.0;
  if (!process.traced) {
    const double silver = process.strength * (exposed ? erf_silver(process, x) : 0.0) + process.chemical_fog;
    return is_positive(process.kind) ? std::max(process.support_density - silver, 0.2)
                                     : process.support_density + silver;
  }
  const double net = process.strength * (exposed ? traced_net_density(x) : 0.0) + process.chemical_fog;
  if (!is_positive(process.kind)) return process.support_density + net;
  const double black = std::pow(10.0, -process.support_density);
  const double reflectance =
      process.silver_reflectance * (1.0 - std::pow(10.0, -net)) + black * std::pow(10.0, -2.0 * net);
  return -std::log10(reflectance);
}

// Time over the usual time; silver grows by a Weibull law and is soon exhausted, fog keeps on growing.
void develop(Random& random, Process& process) {
  const double time = random.log_uniform(0.5, 1.9);
  const auto grown = [](double t) { return 1.0 - std::exp(-std::pow(2.2 * t, 1.5)); };
  process.strength *= grown(time) / grown(1.0);
  process.chemical_fog *= std::pow(time, 1.7);
}

}  // namespace

Process drawn_process(Random& random, PlateKind kind) {
  Process process;
  process.kind = kind;
  process.traced = random.chance(0.5);
  const double error = random.chance(0.33) ? random.normal(0.0, 0.1) : random.uniform(-0.75, 0.75);
  if (is_positive(kind)) {
    process.support_density =
        std::clamp(random.normal(kind == PlateKind::tintype ? 1.36 : 1.3, 0.11), 1.05, 1.65);
    process.silver_reflectance = random.uniform(0.3, 0.5);
    process.strength = random.uniform(0.8, 1.15);
    // On black support a net density fog of 0.01 is already about 0.07 D of lightening.
    process.chemical_fog = process.traced ? random.log_uniform(0.0005, 0.03) : random.log_uniform(0.005, 0.2);
    process.amplitude = random.uniform(0.8, 1.05);
    process.gamma = random.uniform(0.8, 1.8);
    process.highlight_x = 1.55 + error;
  } else {
    process.support_density = random.uniform(0.025, 0.06);
    process.strength = random.uniform(0.8, 1.6);
    process.chemical_fog = random.log_uniform(0.01, 0.25);
    process.amplitude = random.uniform(1.3, 2.0);
    process.gamma = random.uniform(0.9, 1.8);
    process.highlight_x = 2.1 + error;
  }
  develop(random, process);
  return process;
}

cv::Mat finished_density(const Process& process, const cv::Mat& log_exposure) {
  // A table of 1/500 decades: the curve is far smoother than that.
  constexpr double kLow = -8.1;
  constexpr double kStep = 0.002;
  std::vector<float> table;
  for (double x = kLow; x < 1.5; x += kStep) table.push_back(static_cast<float>(density_at(process, x)));
  const auto last = static_cast<double>(table.size() - 1);
  cv::Mat density(log_exposure.size(), CV_32FC1);
  for (int y = 0; y < density.rows; ++y) {
    const auto* from = log_exposure.ptr<float>(y);
    auto* to = density.ptr<float>(y);
    for (int x = 0; x < density.cols; ++x)
      to[x] = table[static_cast<std::size_t>(std::clamp((from[x] - kLow) / kStep, 0.0, last))];
  }
  return density;
}

}  // namespace platewise::heldout
