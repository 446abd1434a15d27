#pragma once

#include <optional>
#include <vector>

#include "platewise/core/plate.h"
#include "platewise/recommend/recommendation.h"
#include "platewise/sensitometry/plate_curve.h"
#include "platewise/tones/tones.h"

namespace platewise {

// What the photographer noted of the plate that was scored.
struct PlateSettings {
  std::optional<double> exposure_s;
  std::optional<double> development_s;
  std::optional<double> aperture;  // f-number
  std::optional<double> meter_ev;
  std::optional<double> temperature_c;
};

struct RecommendOptions {
  PlateKind kind = PlateKind::tintype;
  PlateSettings settings;
  std::vector<PlateCurve> curves;  // the photographer's own, one per development time
  bool light_leak = false;         // a fault says the veil is local light: not answered with exposure
};

// What to change for the next plate so that its highlight sits at 90% of the largest net density the material
// gives and its fog stays at or under 0.06 D. Empty only when no tone could be measured.
[[nodiscard]] std::optional<Recommendation> recommend(const Tones& tones, const RecommendOptions& options);

}  // namespace platewise
