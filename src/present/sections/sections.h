#pragma once

#include <string>

#include "platewise/core/result.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise::sections {

// Bodies of the report's sections, see section.h for how to add one.
[[nodiscard]] Result<std::string> advice(const PlateScore& score);
[[nodiscard]] Result<std::string> tones(const PlateScore& score);
[[nodiscard]] Result<std::string> curve(const PlateScore& score);
[[nodiscard]] Result<std::string> faults(const PlateScore& score);
[[nodiscard]] Result<std::string> facts(const PlateScore& score);
[[nodiscard]] Result<std::string> warnings(const PlateScore& score);
[[nodiscard]] Result<std::string> cautions(const PlateScore& score);

}  // namespace platewise::sections
