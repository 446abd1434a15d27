#include "alternatives.h"

#include <fmt/format.h>

#include <cmath>

#include "advice_words.h"
#include "platewise/recommend/exposure_arithmetic.h"

namespace platewise {
namespace {

constexpr double kWideRange_stops = 2.0;  // an 80% interval wider than this says little
constexpr double kFlatRange = 0.1;        // density: all black or all blocked
constexpr double kLongExposure_s = 20.0;
constexpr double kRoundingWorthALine_stops = 1.0 / 6.0;

void offer_strip_plate(Recommendation& advice, const Tones& tones) {
  const bool wide = advice.exposure.high - advice.exposure.low > kWideRange_stops;
  const bool flat = !tones.range || tones.range->value < kFlatRange;
  const bool far = std::abs(advice.exposure.change) > kLargestChangeWithoutCurve_stops - 0.01;
  if (!wide && !flat && !far) return;
  const std::string around =
      advice.exposure.to_s ? fmt::format(" around {}", in_seconds(*advice.exposure.to_s)) : std::string{};
  advice.alternatives.push_back(
      fmt::format("Make a strip plate: draw the slide in steps so that the strips get exposures a stop "
                  "apart{}, develop as "
                  "usual, and take the strip whose whites are just white. This plate alone says too little.",
                  around));
}

void offer_aperture(Recommendation& advice, const RecommendOptions& options) {
  const double change = advice.exposure.change;
  if (std::abs(change) < 0.1) return;
  const char* turn = change > 0 ? "open" : "close";
  if (options.settings.aperture) {
    const double next = nearest_marking(aperture_after(*options.settings.aperture, change));
    advice.alternatives.push_back(fmt::format("Leave the time and {} the lens from f/{:g} to f/{:g}{}.", turn,
                                              *options.settings.aperture, next,
                                              change > 0 ? ", if the sitter cannot hold still longer" : ""));
  } else {
    advice.alternatives.push_back(fmt::format("Leave the time and {} the lens by {}{}.", turn,
                                              in_stops(change),
                                              change > 0 ? ", if the sitter cannot hold still longer" : ""));
  }
}

void offer_better_time(Recommendation& advice, const PlateSettings& settings) {
  const Change& exposure = advice.exposure;
  if (!exposure.to_s || !exposure.to_exact_s) return;
  const double left =
      settings.schwarzschild_p.value_or(1.0) * std::log2(*exposure.to_exact_s / *exposure.to_s);
  if (std::abs(left) > kRoundingWorthALine_stops) {
    advice.alternatives.push_back(fmt::format("{} is {} {} than meant: make it up with the lens.",
                                              in_seconds(*exposure.to_s), in_stops(left),
                                              left > 0 ? "less" : "more"));
  }
  if (*exposure.to_s > kLongExposure_s && exposure.change > 0 && !settings.schwarzschild_p) {
    advice.alternatives.push_back(
        fmt::format("Long exposures are worth less on wet collodion, and the plate dries: at {} allow {} "
                    "more, or open the "
                    "lens instead.",
                    in_seconds(*exposure.to_s), in_stops(reciprocity_loss_stops(*exposure.to_s))));
  }
}

void offer_mending_the_leak(Recommendation& advice) {
  advice.alternatives.emplace_back(
      "Mend the leak first: look at camera and holder from inside with a lamp, put a cloth over both, shade "
      "the lens; then judge exposure on the next plate.");
}

// Handbook, process.md section 4 (5: more acid in warm weather and on over-exposed plates, less in cold) and
// section 6 (bath with organic matter: neutralise, sun, filter, re-acidify).
void offer_against_fog(Recommendation& advice) {
  if (advice.probability[static_cast<std::size_t>(Diagnosis::fogged)] < kWorthALine) return;
  advice.alternatives.emplace_back(
      "If this plate had its usual time in the developer, leave the time alone and test one thing a plate: "
      "the darkroom light, the bath with litmus (it should redden), a cooler developer.");
  advice.alternatives.emplace_back(
      "More restrainer: a little more acid, or less iron, in the developer holds fog back, most of all in "
      "warm weather; it slows the image too. Where the room is cold and the image drags, less restrainer and "
      "a shorter time.");
  advice.alternatives.emplace_back(
      "A fresher bath: where several plates in a row are veiled, sun and filter the silver bath and make it "
      "acid again, or change to another.");
}

// Handbook, process.md 5a, P12: flat light is reported beside the word, with 0 to -1/3 stop. Its open shadows
// look like over-exposure; an under-exposed plate is short of range by itself.
void offer_against_flat_light(Recommendation& advice, const Tones& tones) {
  constexpr double kSoftRange = 0.6;  // handbook, process.md 5a-bis: range at least 0.6
  constexpr double kPlainlyOff_stops = 0.5;
  const double error = advice.exposure_error_stops;
  if (!tones.range || tones.range->value + tones.range->u >= kSoftRange || error < -kPlainlyOff_stops) return;
  advice.alternatives.emplace_back(
      error < kPlainlyOff_stops
          ? "The tones lie close together although exposure looks right: the light may be flat or the "
            "collodion new, deep red or the bath tired. Use more directional light before changing times."
          : "The tones lie close together, as much light makes them, but the light may be flat or the "
            "collodion new, deep red or the bath tired. If the light was soft, take off a third of a stop at "
            "most and use more directional light.");
}

void offer_other_contrast(Recommendation& advice, const RecommendOptions& options) {
  if (advice.development.change < 5.0) return;
  advice.alternatives.emplace_back(is_positive(options.kind)
                                       ? "If more time in the developer does nothing for the whites, change "
                                         "the light or the collodion instead: "
                                         "some developers do all they can once the image is up."
                                       : "If more time in the developer does nothing for the density, "
                                         "redevelop or intensify this negative "
                                         "instead; leave out mercury.");
}

}  // namespace

void offer_alternatives(Recommendation& advice, const Tones& tones, const RecommendOptions& options) {
  if (options.light_leak) offer_mending_the_leak(advice);
  offer_strip_plate(advice, tones);
  if (!options.light_leak) offer_against_fog(advice);
  offer_aperture(advice, options);
  offer_better_time(advice, options.settings);
  offer_against_flat_light(advice, tones);
  offer_other_contrast(advice, options);
}

}  // namespace platewise
