#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "../band_family.h"
#include "../band_field.h"
#include "detectors.h"

namespace platewise::fault_detectors {
namespace {

// Handbook: "bands 0.5-5 wide, 20 to full plate long", "diagonal, pointing at the drain corner". A light and
// a dark band make a period.
constexpr std::array kPeriodsUnits{1.6, 2.8, 4.9};
constexpr double kFinestUnits = 0.7;  // finer than the narrowest bands of the film
constexpr double kProposeLog10Nfa = 0.0;
constexpr double kMostOffDiagonal = 0.36;  // rad; ridges fan out and hands differ: common practice, no source

// The plate's diagonal that ends in the drain corner, or both when that is not known, as angles of lines.
std::vector<double> diagonals(const Evidence& evidence) {
  const double falling = std::atan2(evidence.silver.rows, evidence.silver.cols);
  const double rising = std::numbers::pi - falling;
  if (!evidence.handling.drain_corner) return {falling, rising};
  const Corner corner = *evidence.handling.drain_corner;
  return {corner == Corner::top_left || corner == Corner::bottom_right ? falling : rising};
}

std::vector<int> directions_along(double diagonal) {
  std::vector<int> directions;
  for (int d = 0; d < kBandDirections; ++d)
    if (std::abs(std::remainder(band_angle(d) - diagonal, std::numbers::pi)) <= kMostOffDiagonal)
      directions.push_back(d);
  return directions;
}

Candidate candidate_of(const BandFamily& family) {
  const double along = family.along_to - family.along_from;
  const double across = family.across_to - family.across_from;
  Candidate candidate{
      .id = "pour_ridges",
      .area = along * across,
      .length = along,
      .width = 0.5 * family.period_units,
      .angle_deg = std::fmod(180.0 - band_angle(family.direction) * 180.0 / std::numbers::pi, 180.0),
      .contrast = family.strength,
      .log10_nfa = family.log10_nfa,
      .confidence = std::clamp(0.5 - 0.05 * family.log10_nfa, 0.4, 0.95)};
  for (const auto& [s, t] : {std::pair{family.along_from, family.across_from},
                             {family.along_to, family.across_from},
                             {family.along_to, family.across_to},
                             {family.along_from, family.across_to}})
    candidate.outline_units.push_back(family.place(s, t));
  return candidate;
}

}  // namespace

// The film runs off to the drain corner in furrows, whatever the picture shows: over a large part of the
// plate the tones prefer that one direction, which the picture does not prefer elsewhere or mirrored.
std::vector<Candidate> pour_ridges(const Evidence& evidence) {
  std::vector<BandField> fields;
  fields.reserve(kPeriodsUnits.size());
  for (const double period : kPeriodsUnits) fields.push_back(band_field(evidence, period));
  std::optional<BandField> finest;  // dear, and wanted on few plates
  std::vector<Candidate> candidates;
  for (const double diagonal : diagonals(evidence))
    if (auto family = strongest_family(fields, directions_along(diagonal));
        family && family->log10_nfa < kProposeLog10Nfa) {
      if (!finest) finest = band_field(evidence, kFinestUnits);
      judge_by_picture(*family, *finest);
      candidates.push_back(candidate_of(*family));
    }
  return candidates;
}

}  // namespace platewise::fault_detectors
