#pragma once

#include <optional>

#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"
#include "platewise/density/plate_density.h"

namespace platewise {

// Bare support and covered rim once their tones are compared.
struct OuterParts {
  std::optional<Quantity> bare;
  std::optional<Quantity> rim;
  Warnings warnings;
};

// Developed film is hardly ever as clear as bare support, so two that are alike are one thing: the rim is
// left out, or where the picture's floor is as clear too, the support's u grows. `silver_sign` is -1 for
// positives.
[[nodiscard]] OuterParts told_apart(std::optional<Quantity> bare, const std::optional<Quantity>& rim,
                                    const std::optional<Quantity>& floor, double silver_sign,
                                    const PlateDensity& plate);

}  // namespace platewise
