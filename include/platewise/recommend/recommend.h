#pragma once

#include <cstdint>
#include <optional>
#include <string>
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
  std::optional<double> meter_ev;  // a reading of the light: one more is twice the light
  std::optional<double> temperature_c;
  std::optional<double> bellows_ratio;    // draw of the camera / focal length: 1 far away, 2 at life size
  std::optional<double> schwarzschild_p;  // the material's: exposure = light x time^p; 1 without failure
};

// A plate made before the scored one, of the same scene with the same materials. It helps where both have a
// noted exposure; light that moved between them is allowed for (less so where both have a meter reading), and
// read from the notes where both tell of it (knowledge/light_words.h).
struct EarlierPlate {
  Tones tones;
  PlateSettings settings;
  std::string note;
};

struct RecommendOptions {
  PlateKind kind = PlateKind::tintype;
  PlateSettings settings;
  std::string note;
  std::vector<PlateCurve> curves;     // the photographer's own, one per development time
  bool light_leak = false;            // a fault says the veil is local light: not answered with exposure
  bool blue_lights = false;           // a fault says the lights turned blue, as far too much light makes them
  std::vector<EarlierPlate> earlier;  // oldest first
  int draws = 800;                    // states of the process that are weighed
  std::uint64_t seed = 1;
};

// Most that is proposed from one plate, in stops (handbook, process.md section 5; contract).
inline constexpr double kLargestChangeWithoutCurve_stops = 1.5;
inline constexpr double kLargestChangeWithCurve_stops = 3.0;

// What to change for the next plate so that its highlight sits at 90% of the largest net density the material
// gives and its fog stays at or under 0.06 D. Empty only when no tone could be measured.
//
// Thousands of possible truths (a curve, how development lets silver and fog grow, the scene, this plate's
// errors) are drawn from priors marked as common practice (data/priors.csv) and weighed by what the tones
// say; the photographer's own curves and earlier plates of the series sharpen them. The change proposed is
// the one with the least expected loss for the next plate; its interval holds 80% of the weighed truths.
// Assumes the scene has a white and a shadow within a stop or so of the usual; where it has not, the answer
// is off by as much, and the interval is widened by it on the average only.
[[nodiscard]] std::optional<Recommendation> recommend(const Tones& tones, const RecommendOptions& options);

}  // namespace platewise
