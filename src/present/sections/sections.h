#pragma once

#include <string>

#include "platewise/core/result.h"
#include "platewise/present/section.h"

namespace platewise::sections {

// Bodies of the report's sections, see section.h for how to add one.
[[nodiscard]] Result<std::string> advice(const SectionPlate& plate);
[[nodiscard]] Result<std::string> tones(const SectionPlate& plate);
[[nodiscard]] Result<std::string> curve(const SectionPlate& plate);
[[nodiscard]] Result<std::string> faults(const SectionPlate& plate);
[[nodiscard]] Result<std::string> facts(const SectionPlate& plate);
[[nodiscard]] Result<std::string> warnings(const SectionPlate& plate);
[[nodiscard]] Result<std::string> cautions(const SectionPlate& plate);

// What time in the developer does, from curves at several times; empty with fewer than two times.
[[nodiscard]] std::string development_html(const std::vector<PlateCurve>& curves);

}  // namespace platewise::sections
