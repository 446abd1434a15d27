#include "curve_warnings.h"

#include <fmt/format.h>

#include <cmath>
#include <string_view>

namespace platewise {
namespace {

struct EndWords {
  std::string_view strongest;
  std::string_view weakest;
  std::string_view whole;
};

EndWords words_for(ExposedBy exposed_by) {
  if (exposed_by == ExposedBy::strips) return {"the longest strip", "the shortest strip", "the strips"};
  return {"the strongest exposure of the wedge", "the weakest exposure of the wedge", "the wedge"};
}

void warn_about_iso_rise(PlateCurve& curve, double reach) {
  constexpr double kIsoRise = 0.80;  // ISO 6, contrast condition
  constexpr double kIsoTolerance = 0.05;
  const double rise = curve.average_gradient.value * reach;
  if (is_positive(curve.kind) || std::abs(rise - kIsoRise) <= kIsoTolerance) return;
  curve.warnings.push_back(fmt::format(
      "density rises by {:.2f} over 1.30 of log exposure from the speed point, not by the 0.80 of ISO 6: "
      "the speed point compares plates but is no ISO speed",
      rise));
}

}  // namespace

void add_curve_warnings(PlateCurve& curve, const CurveOptions& options, double strongest, double reach) {
  const EndWords words = words_for(options.exposed_by);
  if (!curve.shoulder_reached) {
    curve.warnings.push_back(
        fmt::format("{} did not reach the plate's limit: the largest density is at least the one given, and "
                    "the exposure scale is that of {}",
                    words.strongest, words.whole));
  }
  if (!curve.toe_reached) {
    curve.warnings.push_back(
        fmt::format("{} still made silver: fog and speed point are extrapolated", words.weakest));
  }
  if (!options.support_seen) {
    curve.warnings.push_back(
        fmt::format("no bare support was seen: fog rests on the usual density {:.2f} of the support",
                    options.support_density.value));
  }
  if (curve.speed_point_log_exposure.value + reach > strongest) {
    curve.warnings.push_back(fmt::format("the average gradient reaches beyond {}", words.strongest));
  }
  warn_about_iso_rise(curve, reach);
}

}  // namespace platewise
