#include "platewise/demo/process_model.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/distributions.h"

namespace platewise {
namespace {

constexpr int kFastHits = 3;  // quanta a fast grain needs: sets the toe of the traced curve
constexpr int kSlowHits = 1;
constexpr double kAimShare = 0.9;  // of the largest net density: the contract's aim

double developed(const ProcessParameters& process, double factor) {
  const double after = std::max(0.0, factor - process.onset);
  const double grown = (1.0 - std::exp(-process.growth_rate * after)) /
                       (1.0 - std::exp(-process.growth_rate * (1.0 - process.onset)));
  // Whatever happens later, nothing is there before the onset: come up within a tenth of the right time.
  const double up = std::clamp(after / 0.1, 0.0, 1.0);
  return up * std::max(0.0, 1.0 + process.growth_after_onset * (grown - 1.0));
}

double support_reflectance(const ProcessParameters& process) {
  return std::pow(10.0, -process.support_density);
}

template <class Rising>
double solved(Rising rising, double target, double low, double high) {
  constexpr int kHalvings = 60;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle = 0.5 * (low + high);
    (rising(middle) < target ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace

ProcessParameters ordinary_process(PlateKind kind) {
  ProcessParameters process;
  process.kind = kind;
  if (kind == PlateKind::ambrotype) {
    process.support_density = 1.40;
    process.silver_reflectance = 0.40;
  }
  if (kind == PlateKind::negative) {
    // Worked for print-out paper: gamma about 1.8, highlights of 1.5-2.0 D (numbers.csv, PRACTICE).
    process.fast_silver = 1.25;
    process.slow_silver = 0.65;
    process.slow_point = 1.55;
    process.onset = 0.15;  // 6 s of 45 s
    process.support_density = 0.04;
    process.grain = 0.03;
  }
  return process;
}

double image_silver_tau(const ProcessParameters& process, double log_exposure, double factor) {
  const double fast = poisson_share_from(kFastHits, std::pow(10.0, log_exposure - process.fast_point));
  const double slow = poisson_share_from(kSlowHits, std::pow(10.0, log_exposure - process.slow_point));
  return developed(process, factor) * (process.fast_silver * fast + process.slow_silver * slow);
}

double chemical_fog(const ProcessParameters& process, double factor) {
  return process.fog_at_right_time * std::pow(std::max(0.0, factor), process.fog_power) + process.extra_fog;
}

double density_of_tau(const ProcessParameters& process, double tau) {
  if (!is_positive(process.kind)) return process.support_density + tau;
  const double reflectance = process.silver_reflectance * (1.0 - std::pow(10.0, -tau)) +
                             support_reflectance(process) * std::pow(10.0, -2.0 * tau);
  return -std::log10(reflectance);
}

double silver_of_tau(const ProcessParameters& process, double tau) {
  const double difference = density_of_tau(process, tau) - process.support_density;
  return is_positive(process.kind) ? -difference : difference;
}

double tau_of_silver(const ProcessParameters& process, double silver) {
  if (!is_positive(process.kind)) return silver;
  constexpr double kMostTau = 6.0;
  return solved([&](double tau) { return silver_of_tau(process, tau); }, silver, 0.0, kMostTau);
}

double plate_density(const ProcessParameters& process, double log_exposure, double factor) {
  return density_of_tau(process, image_silver_tau(process, log_exposure, factor) +
                                     tau_of_silver(process, chemical_fog(process, factor)));
}

double largest_net_density(const ProcessParameters& process) {
  // Every grain developed at the right time. A negative counts over its fog, a positive from the bare
  // support.
  const double all = process.fast_silver + process.slow_silver;
  return silver_of_tau(process, all);
}

double right_highlight_log_exposure(const ProcessParameters& process) {
  const double fog_tau = tau_of_silver(process, process.fog_at_right_time);
  const auto net = [&](double log_exposure) {
    const double image = image_silver_tau(process, log_exposure, 1.0);
    return is_positive(process.kind) ? silver_of_tau(process, image + fog_tau) : image;
  };
  return solved(net, kAimShare * largest_net_density(process), -3.0, 6.0);
}

}  // namespace platewise
