#include "measured_growth.h"

#include <algorithm>
#include <cmath>

#include "platewise/stats/distributions.h"

namespace platewise {
namespace {

// The candidate at a share of the summed weights; candidates stand in the order of their rates.
const Growth::Candidate& candidate_at(const Growth& growth, double share) {
  double sum = 0.0;
  for (const Growth::Candidate& candidate : growth.candidates) {
    sum += candidate.weight;
    if (share < sum) return candidate;
  }
  return growth.candidates.back();
}

}  // namespace

std::optional<MeasuredDevelopment> MeasuredDevelopment::from(std::span<const PlateCurve> curves) {
  double shortest_s = 1e9;
  double longest_s = 0.0;
  for (const PlateCurve& curve : curves) {
    if (!curve.development_s || *curve.development_s <= 0 || curve.steps.empty()) continue;
    shortest_s = std::min(shortest_s, *curve.development_s);
    longest_s = std::max(longest_s, *curve.development_s);
  }
  constexpr double kOtherTime = 1.1;  // hands err by a tenth
  if (longest_s < kOtherTime * shortest_s) return std::nullopt;
  auto model = fit_development(curves);
  if (!model) return std::nullopt;
  MeasuredDevelopment measured(*std::move(model));
  measured.shortest_s_ = shortest_s;
  measured.longest_s_ = longest_s;
  return measured;
}

MeasuredGrowth MeasuredDevelopment::drawn(double fog_law_z, double fog_level_z, double silver_law_z) const {
  const Growth::Candidate& fog = candidate_at(model_.fog, normal_share_below(fog_law_z));
  const double silver_share = normal_share_below(silver_law_z);
  return {.reference_s = model_.fog.reference_s,
          .shortest_s = shortest_s_,
          .longest_s = longest_s_,
          .fog_level = std::max(0.0, fog.level.value + fog.level.u * fog_level_z),
          .fog_rate = fog.rate_per_s,
          .highlight_rate = candidate_at(model_.highlight, silver_share).rate_per_s,
          .gamma_rate = candidate_at(model_.gamma, silver_share).rate_per_s};
}

std::optional<double> aim_time_s(const MeasuredGrowth& growth) {
  if (growth.fog_rate == 0.0) return std::nullopt;
  const GrowthLaw law{growth.fog_level / -std::expm1(-growth.fog_rate * growth.reference_s), growth.fog_rate};
  constexpr double kBeyond = 2.0;  // one step of advice at most
  const double longest = kBeyond * growth.longest_s;
  const auto time_s = growth.fog_level > 0.0 ? law.time_for(kAimFog) : std::nullopt;
  return std::clamp(time_s.value_or(longest), growth.shortest_s / kBeyond, longest);
}

}  // namespace platewise
