#include "explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "platewise/recommend/exposure_arithmetic.h"

namespace platewise {
namespace {

constexpr double kPercent = 100.0;
constexpr double kWideRange_stops = 2.0;  // an 80% interval wider than this says little
constexpr double kFlatRange = 0.1;        // density: all black or all blocked
constexpr double kWorthALine = 0.25;      // probability from which a second reading is told
constexpr double kLongExposure_s = 20.0;
constexpr double kRoundingWorthALine_stops = 1.0 / 6.0;

double mean_of(std::span<const ProcessState> draws, const std::function<double(const ProcessState&)>& value) {
  double sum = 0.0;
  for (const ProcessState& draw : draws) sum += value(draw);
  return sum / static_cast<double>(draws.size());
}

std::string plus_minus(const Quantity& q) {
  const bool below_nought = q.value < -0.005;  // else it reads 0.00
  return fmt::format("{}{:.2f} \u00b1{:.2f} D", below_nought ? "\u2212" : "", std::abs(q.value), q.u);
}

std::string seconds(double time_s) {
  if (time_s < 1.0) return fmt::format("1/{:.0f} s", 1.0 / time_s);
  return fmt::format("{:g} s", std::round(time_s * 10.0) / 10.0);
}

std::string stops(double size) {
  const double rounded = std::round(std::abs(size) * 10.0) / 10.0;
  return fmt::format("{:.1f} {}", rounded, rounded == 1.0 ? "stop" : "stops");
}

std::string error_in_words(double error_stops, double u) {
  const double off = std::abs(error_stops);
  if (off < 1.0 / 6.0) return fmt::format("exposure about right (\u00b1{})", stops(u));
  return fmt::format("about {} {} (\u00b1{})", stops(off),
                     error_stops < 0 ? "too little light" : "too much light", stops(u));
}

void say_highlight(Recommendation& advice, const RecommendOptions& options,
                   std::span<const ProcessState> draws) {
  const auto tones_of = [](const ProcessState& d) {
    return expected_tones(d, d.exposure_error_stops, d.log_development);
  };
  const double highlight = mean_of(draws, [&](const auto& d) { return tones_of(d).highlight; });
  const double largest = mean_of(draws, [](const auto& d) { return d.largest_silver; });
  advice.because.push_back(fmt::format(
      "The highlights hold about {:.2f} D of silver ({}), {:.0f}% of the {:.2f} D that {} should give; the "
      "aim "
      "is 90%: {}.",
      highlight, is_positive(options.kind) ? "lighter than the bare support" : "denser than clear glass",
      kPercent * highlight / largest, largest, options.curves.empty() ? "such a material" : "your material",
      error_in_words(advice.exposure_error_stops, advice.exposure_error_u)));
}

void say_shadows(Recommendation& advice, const Tones& tones) {
  if (!tones.floor_over_margin) return;
  constexpr double kOpenShadow = 0.15;   // handbook, process.md 5a-bis: floor 0.05-0.25 from the support
  constexpr double kEmptyShadow = 0.03;  // handbook, process.md 5b: under 0.05 is bare
  const Quantity& light = *tones.floor_over_margin;
  const char* reading = "some light reached the deepest shadows";
  if (light.value < 2.0 * light.u)
    reading = "too uncertain to tell whether light reached the deepest shadows";
  if (light.value - light.u > kOpenShadow)
    reading = "the shadows are filled with light that came through the lens";
  if (light.value + light.u < kEmptyShadow + 0.03) reading = "no light reached the deepest shadows";
  advice.because.push_back(
      fmt::format("The deepest shadow stands {} off the margin that the holder covered: {}.",
                  plus_minus(light), reading));
}

void say_margin(Recommendation& advice, const Tones& tones) {
  if (!tones.margin_fog) {
    advice.because.push_back(
        tones.fog
            ? fmt::format("The deepest shadow is veiled by {} in all; no covered margin was seen that would "
                          "tell light from chemistry.",
                          plus_minus(*tones.fog))
            : "No bare support was seen beside the margin, so the veil of development could not be measured "
              "and its advice rests on common practice.");
    return;
  }
  const Quantity& fog = *tones.margin_fog;
  const char* reading = "about as it should be";
  if (fog.value > kAimFog + std::max(fog.u, 0.03)) {
    reading =
        "too much; light through the lens cannot do that, so look to development, bath or darkroom light";
  } else if (fog.value < kAimFog - std::max(fog.u, 0.03)) {
    reading = "development may go on a little longer";
  }
  advice.because.push_back(fmt::format("The covered margin is veiled by {} (up to {:.2f} D is right): {}.",
                                       plus_minus(fog), kAimFog, reading));
}

void say_second_reading(Recommendation& advice) {
  const auto p = [&](Diagnosis word) { return advice.probability[static_cast<std::size_t>(word)]; };
  const double fogged = p(Diagnosis::fogged);
  const double over_developed = p(Diagnosis::overdeveloped) + p(Diagnosis::overexposed_overdeveloped) +
                                p(Diagnosis::underexposed_overdeveloped);
  if (fogged > kWorthALine && over_developed > kWorthALine) {
    advice.because.emplace_back(
        "One plate cannot tell over-development from a fogging bath, developer or safelight: a longer time "
        "than "
        "usual speaks for the first, the usual time or several veiled plates in a row for the second.");
  }
}

void say_how_sure(Recommendation& advice, const RecommendOptions& options) {
  if (options.curves.empty()) {
    advice.because.emplace_back(
        "This rests on common practice, not on your own material: a step-wedge plate (platewise calibrate "
        "plate) "
        "narrows the range.");
  }
  const double limit =
      options.curves.empty() ? kLargestChangeWithoutCurve_stops : kLargestChangeWithCurve_stops;
  if (std::abs(advice.exposure.change) >= limit - 0.01) {
    advice.because.push_back(fmt::format(
        "More than {} is never proposed from one plate; it may need more: score the next one too.",
        stops(limit)));
  }
}

void offer_strip_plate(Recommendation& advice, const Tones& tones) {
  const bool wide = advice.exposure.high - advice.exposure.low > kWideRange_stops;
  const bool flat = !tones.range || tones.range->value < kFlatRange;
  const bool far = std::abs(advice.exposure.change) > kLargestChangeWithoutCurve_stops - 0.01;
  if (!wide && !flat && !far) return;
  const std::string around =
      advice.exposure.to_s ? fmt::format(" around {}", seconds(*advice.exposure.to_s)) : std::string{};
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
    advice.alternatives.push_back(fmt::format("Leave the time and {} the lens by {}{}.", turn, stops(change),
                                              change > 0 ? ", if the sitter cannot hold still longer" : ""));
  }
}

void offer_better_time(Recommendation& advice) {
  const Change& exposure = advice.exposure;
  if (!exposure.to_s || !exposure.to_exact_s) return;
  const double left = std::log2(*exposure.to_exact_s / *exposure.to_s);
  if (std::abs(left) > kRoundingWorthALine_stops) {
    advice.alternatives.push_back(fmt::format("{} is {} {} than meant: make it up with the lens.",
                                              seconds(*exposure.to_s), stops(left),
                                              left > 0 ? "less" : "more"));
  }
  if (*exposure.to_s > kLongExposure_s && exposure.change > 0) {
    advice.alternatives.push_back(
        fmt::format("Long exposures are worth less on wet collodion, and the plate dries: at {} allow {} "
                    "more, or open the "
                    "lens instead.",
                    seconds(*exposure.to_s), stops(reciprocity_loss_stops(*exposure.to_s))));
  }
}

void offer_against_fog(Recommendation& advice, const RecommendOptions& options) {
  if (options.light_leak) {
    advice.alternatives.emplace_back(
        "Mend the leak first: look at camera and holder from inside with a lamp, put a cloth over both, "
        "shade the "
        "lens; then judge exposure on the next plate.");
    return;
  }
  if (advice.probability[static_cast<std::size_t>(Diagnosis::fogged)] < kWorthALine) return;
  advice.alternatives.emplace_back(
      "If this plate had its usual time in the developer, leave the time alone and test one thing a plate: "
      "the "
      "darkroom light, the bath with litmus (it should redden), a cooler developer, then a little more acid "
      "in "
      "the developer.");
}

void offer_against_flat_light(Recommendation& advice, const Tones& tones) {
  constexpr double kSoftRange = 0.6;  // handbook, process.md 5a-bis: range at least 0.6
  const bool tones_right = std::abs(advice.exposure_error_stops) < 0.5;
  if (tones.range && tones.range->value + tones.range->u < kSoftRange && tones_right) {
    advice.alternatives.emplace_back(
        "The tones lie close together although exposure looks right: the light may be flat or the collodion "
        "new, "
        "deep red or the bath tired. Use more directional light before changing times.");
  }
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

void explain(Recommendation& advice, const Tones& tones, const RecommendOptions& options,
             std::span<const ProcessState> draws) {
  say_highlight(advice, options, draws);
  say_shadows(advice, tones);
  say_margin(advice, tones);
  say_second_reading(advice);
  say_how_sure(advice, options);

  if (!options.light_leak) offer_strip_plate(advice, tones);
  offer_against_fog(advice, options);
  offer_aperture(advice, options);
  offer_better_time(advice);
  offer_against_flat_light(advice, tones);
  offer_other_contrast(advice, options);
}

}  // namespace platewise
