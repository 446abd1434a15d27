#include <array>

#include "platewise/present/section.h"
#include "sections/sections.h"
#include "words.h"

namespace platewise {
namespace {

bool always(const PlateScore& /*score*/) {
  return true;
}
bool has_tones(const PlateScore& score) {
  return score.tones.has_value();
}
bool has_curve(const PlateScore& score) {
  return score.tones.has_value() && !score.curves.empty();
}
bool was_found(const PlateScore& score) {
  return score.outline.found;
}
bool has_warnings(const PlateScore& score) {
  return !score.warnings.empty();
}
bool has_cautions(const PlateScore& score) {
  return !score.cautions.empty();
}

// Reading order.
constexpr std::array kSections{
    Section{"advice", words::kNextPlate, always, sections::advice},
    Section{"tones", words::kTones, has_tones, sections::tones},
    Section{"curve", words::kCurve, has_curve, sections::curve},
    Section{"faults", words::kFaults, was_found, sections::faults},
    Section{"warnings", words::kWarnings, has_warnings, sections::warnings},
    Section{"cautions", words::kCautions, has_cautions, sections::cautions},
    Section{"facts", words::kFacts, always, sections::facts},
};

}  // namespace

std::span<const Section> report_sections() {
  return kSections;
}

}  // namespace platewise
