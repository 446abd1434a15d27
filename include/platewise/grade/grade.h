#pragma once

#include <optional>
#include <string>
#include <vector>

#include "platewise/faults/faults.h"
#include "platewise/recommend/recommendation.h"
#include "platewise/tones/tones.h"

namespace platewise {

// Marks out of 100 (handbook, process.md section 5a-bis; all common practice, no source).
//   overall = half the mean of the parts + half the worst part.
struct Grade {
  double overall = 0.0;
  double exposure = 0.0;
  double development = 0.0;
  double fog = 0.0;
  double coating = 0.0;
  double cleanliness = 0.0;
  std::vector<std::string> because;
};

// Empty when there is no recommendation (no tones). Errors of exposure and development come from the
// recommendation's posterior, so that marks and advice never disagree.
[[nodiscard]] std::optional<Grade> grade(const Tones& tones, const Faults& faults, double covered_fraction,
                                         const std::optional<Recommendation>& recommendation);

}  // namespace platewise
