#include "platewise/recommend/longest_exposure.h"

#include <fmt/format.h>

#include <cmath>

#include "platewise/recommend/exposure_arithmetic.h"

namespace platewise {

void offer_longest_exposure(Recommendation& advice, const PlateSettings& settings, double longest_s) {
  const Change& exposure = advice.exposure;
  if (!exposure.to_s || !exposure.to_exact_s || *exposure.to_s <= longest_s) return;
  // What of the exposure that the time would have given is still to be had from the lens.
  const double stops = settings.schwarzschild_p.value_or(1.0) * std::log2(*exposure.to_exact_s / longest_s);
  std::string lens = fmt::format("open the lens by {:.1f} stops", stops);
  if (settings.aperture) {
    lens = fmt::format("open the lens from f/{:g} to f/{:g}", *settings.aperture,
                       nearest_marking(aperture_after(*settings.aperture, stops)));
  }
  const auto at =
      !advice.alternatives.empty() && advice.alternatives.front().starts_with("Make a strip plate")
          ? advice.alternatives.begin() + 1
          : advice.alternatives.begin();
  advice.alternatives.insert(
      at, fmt::format("The sitter holds still for {:g} s: keep to {:g} s and {}, or bring more light.",
                      longest_s, longest_s, lens));
}

}  // namespace platewise
