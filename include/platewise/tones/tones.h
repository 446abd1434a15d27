#pragma once

#include <optional>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/core/quantity.h"
#include "platewise/core/warnings.h"

namespace platewise {

// Share of the picture per density bin; edges has one more entry than share, rising.
struct DensityHistogram {
  std::vector<double> edges;
  std::vector<double> share;
};

// What the plate's tones are, in density (ISO 5, base 10). Definitions are the contract's:
// image silver s = support - D for a positive, D - support for a negative; over the covered picture without
// faults and glare, averaged over 5 x 5 working pixels: floor = 1st percentile of s, mid-tone = 50th,
// highlight = 98th; the fields give D there. Empty where it could not be measured; `warnings` says why.
struct Tones {
  bool calibrated = false;
  std::optional<Quantity> support_density;
  bool support_seen = false;  // false: the stated default
  std::optional<Quantity> margin_density;
  std::optional<Quantity> floor_density;
  std::optional<Quantity> fog;
  std::optional<Quantity> margin_fog;
  std::optional<Quantity> floor_over_margin;
  std::optional<Quantity> midtone_density;
  std::optional<Quantity> highlight_density;
  std::optional<Quantity> range;
  std::optional<double> empty_shadow_fraction;
  std::optional<double> blocked_highlight_fraction;
  DensityHistogram histogram;
  double glare_fraction = 0.0;
  Warnings warnings;
};

}  // namespace platewise
