#include "platewise/grade/grade.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "platewise/knowledge/fault_table.h"
#include "rules.h"

namespace platewise {
namespace {

constexpr double kAimFog = 0.06;  // contract: what development may cost in fog
constexpr double kFull = 100.0;

// Faults of one kind are one matter, however many: the group's severity grows with their number more slowly
// than their sum (200 specks of 0.02 weigh 0.28, one weighs 0.02).
using Groups = std::map<std::string, double>;
Groups severity_by_kind(const Faults& faults, MarkedIn part) {
  Groups squares;
  for (const Fault& fault : faults.found) {
    const KnownFault* known = known_fault(fault.id);
    if (!known || known->marked_in != part) continue;
    const double severity = std::clamp(fault.severity, 0.0, 1.0);
    squares[fault.id] += severity * severity;
  }
  for (auto& [id, sum] : squares) sum = std::min(1.0, std::sqrt(sum));
  return squares;
}

std::string trade_name(const std::string& id) {
  return known_fault(id)->trade_names.front();
}

double mark_of_groups(const Groups& groups) {
  double left = 1.0;
  for (const auto& [id, severity] : groups) left *= 1.0 - severity;
  return kFull * left;
}

void say_worst(Grade& grade, const char* part, double mark, const Groups& groups) {
  if (groups.empty()) return;
  const auto worst = std::max_element(groups.begin(), groups.end(),
                                      [](const auto& a, const auto& b) { return a.second < b.second; });
  grade.because.push_back(fmt::format("{} {:.0f}: {} {}.", part, mark, trade_name(worst->first),
                                      groups.size() == 1 ? "takes from it" : "takes the most from it"));
}

void mark_exposure(Grade& grade, const Recommendation& advice) {
  const double off = advice.exposure_error_stops;
  grade.exposure = mark_for(exposure_marks(), std::abs(off));
  grade.because.push_back(fmt::format("Exposure {:.0f}: {:.1f} stops {} (\u00b1{:.1f}).", grade.exposure,
                                      std::abs(off), off < 0 ? "too little" : "too much",
                                      advice.exposure_error_u));
}

void mark_development(Grade& grade, const Recommendation& advice) {
  const double off = advice.development_error_fraction;
  grade.development = mark_for(development_marks(), std::abs(off));
  grade.because.push_back(fmt::format("Development {:.0f}: about {:.0f}% too {} (\u00b1{:.0f}%).",
                                      grade.development, kFull * std::abs(off), off < 0 ? "short" : "long",
                                      kFull * advice.development_error_u));
}

// The margin where it was measured, else what the whole veil has over the aim, else what is likely.
void mark_fog(Grade& grade, const Tones& tones, const Recommendation& advice, const Groups& local_light) {
  double veil = 0.0;
  double u = 0.0;
  std::string_view seen;
  if (tones.margin_fog) {
    veil = tones.margin_fog->value;
    u = tones.margin_fog->u;
    seen = "the covered margin is veiled by";
  } else if (tones.fog) {
    veil = tones.fog->value - kAimFog;
    u = tones.fog->u;
    seen = "beyond the aim the shadows are veiled by";
  } else {
    veil = advice.veil_density;
    u = advice.veil_u;
    seen = "no margin and no bare support were seen; the veil is likely";
  }
  veil = std::max(veil, 0.0);
  grade.fog = mark_for(fog_marks(), veil) * mark_of_groups(local_light) / kFull;
  grade.because.push_back(fmt::format("Fog {:.0f}: {} {:.2f} \u00b1{:.2f} D.", grade.fog, seen, veil, u));
  for (const auto& [id, severity] : local_light) {
    grade.because.push_back(fmt::format("Fog: {} takes a part.", trade_name(id)));
  }
}

void mark_coating(Grade& grade, double covered_fraction, Groups flaws) {
  flaws.erase("uncovered_corner");  // counted as uncovered share
  const double uncovered = std::clamp(1.0 - covered_fraction, 0.0, 1.0);
  grade.coating = mark_for(coverage_marks(), uncovered) * mark_of_groups(flaws) / kFull;
  if (uncovered > coverage_marks().front().error) {
    grade.because.push_back(fmt::format("Coating {:.0f}: film covers {:.0f}% of the plate.", grade.coating,
                                        kFull * covered_fraction));
  }
  say_worst(grade, "Coating", grade.coating, flaws);
}

// Local light is marked with the fog; the even veil and the blue lights are in the tones already.
Groups local_light(const Faults& faults) {
  Groups groups = severity_by_kind(faults, MarkedIn::tones);
  groups.erase("veil");
  groups.erase("solarised_blue");
  return groups;
}

}  // namespace

std::optional<Grade> grade(const Tones& tones, const Faults& faults, double covered_fraction,
                           const std::optional<Recommendation>& recommendation) {
  if (!recommendation) return std::nullopt;
  Grade grade;
  mark_exposure(grade, *recommendation);
  mark_development(grade, *recommendation);
  mark_fog(grade, tones, *recommendation, local_light(faults));
  mark_coating(grade, covered_fraction, severity_by_kind(faults, MarkedIn::coating));
  const Groups dirt = severity_by_kind(faults, MarkedIn::cleanliness);
  grade.cleanliness = mark_of_groups(dirt);
  say_worst(grade, "Cleanliness", grade.cleanliness, dirt);

  const double parts[] = {grade.exposure, grade.development, grade.fog, grade.coating, grade.cleanliness};
  double sum = 0.0;
  for (const double part : parts) sum += part;
  const double worst = *std::min_element(std::begin(parts), std::end(parts));
  grade.overall = 0.5 * sum / static_cast<double>(std::size(parts)) + 0.5 * worst;
  return grade;
}

}  // namespace platewise
