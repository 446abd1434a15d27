#pragma once

#include <optional>

#include "platewise/faults/detector.h"
#include "platewise/faults/find_faults.h"

namespace platewise {

// As written down at Fault::severity.
[[nodiscard]] double severity(const Candidate& candidate, double plate_area,
                              const std::optional<SubjectBox>& subject_units);

}  // namespace platewise
