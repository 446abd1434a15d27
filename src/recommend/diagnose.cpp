#include "diagnose.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

// Between the tolerance of a right plate, 1/3 stop, and the smallest correction of process.md 5a, 2/3 stop.
constexpr double kPlainlyOff_stops = 0.5;
constexpr double kStepOfDevelopment = 0.2;  // handbook, numbers.csv: one step of development change
constexpr double kMarginTolerance = 0.05;   // handbook, process.md 5a-bis: margin within 0.05
constexpr double kLightLeakShare = 0.7;     // no source: seen, so it is likeliest

constexpr Diagnosis kWords[3][3] = {
    {Diagnosis::underexposed_underdeveloped, Diagnosis::underexposed, Diagnosis::underexposed_overdeveloped},
    {Diagnosis::underdeveloped, Diagnosis::well_exposed, Diagnosis::overdeveloped},
    {Diagnosis::overexposed_underdeveloped, Diagnosis::overexposed, Diagnosis::overexposed_overdeveloped}};

// 0 under, 1 right, 2 over.
std::size_t side(double error, double tolerance_less, double tolerance_more) {
  if (error < -tolerance_less) return 0;
  return error > tolerance_more ? 2 : 1;
}

}  // namespace

Diagnosis diagnosis_of(const ProcessState& state) {
  const double developed = developed_fog(state, state.log_development);
  if (state.chemical_fog > kMarginTolerance && state.chemical_fog > developed) return Diagnosis::fogged;
  const std::size_t exposure = side(state.exposure_error_stops, kPlainlyOff_stops, kPlainlyOff_stops);
  const std::size_t development =
      side(state.log_development, -std::log1p(-kStepOfDevelopment), std::log1p(kStepOfDevelopment));
  return kWords[exposure][development];
}

std::array<double, kDiagnosisCount> diagnosis_probabilities(std::span<const ProcessState> draws,
                                                            bool light_leak) {
  std::array<double, kDiagnosisCount> probability{};
  const double share = (light_leak ? 1.0 - kLightLeakShare : 1.0) / static_cast<double>(draws.size());
  for (const ProcessState& draw : draws) probability[static_cast<std::size_t>(diagnosis_of(draw))] += share;
  if (light_leak) probability[static_cast<std::size_t>(Diagnosis::fogged)] += kLightLeakShare;
  return probability;
}

Diagnosis likeliest(const std::array<double, kDiagnosisCount>& probability) {
  const auto best = std::max_element(probability.begin(), probability.end());
  return static_cast<Diagnosis>(best - probability.begin());
}

}  // namespace platewise
