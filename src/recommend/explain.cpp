#include "explain.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "advice_words.h"
#include "platewise/knowledge/light_words.h"
#include "platewise/recommend/exposure_arithmetic.h"
#include "platewise/recommend/light_change.h"

namespace platewise {
namespace {

constexpr double kPercent = 100.0;

// Middle and spread of a quantity over the draws that agree with the plate.
Quantity over_draws(std::span<const ProcessState> draws,
                    const std::function<double(const ProcessState&)>& value) {
  double sum = 0.0;
  double squares = 0.0;
  for (const ProcessState& draw : draws) {
    sum += value(draw);
    squares += value(draw) * value(draw);
  }
  const auto count = static_cast<double>(draws.size());
  const double mean = sum / count;
  return {mean, std::sqrt(std::max(0.0, squares / count - mean * mean))};
}

std::string plus_minus(const Quantity& q) {
  const bool below_nought = q.value < -0.005;  // else it reads 0.00
  return fmt::format("{}{:.2f} \u00b1{:.2f} D", below_nought ? "\u2212" : "", std::abs(q.value), q.u);
}

std::string error_in_words(double error_stops, double u) {
  const double off = std::abs(error_stops);
  if (off < 1.0 / 6.0) return fmt::format("exposure about right (\u00b1{})", in_stops(u));
  return fmt::format("about {} {} (\u00b1{})", in_stops(off),
                     error_stops < 0 ? "too little light" : "too much light", in_stops(u));
}

void say_highlight(Recommendation& advice, const RecommendOptions& options,
                   std::span<const ProcessState> draws) {
  const auto tones_of = [](const ProcessState& d) {
    return expected_tones(d, d.exposure_error_stops, d.log_development);
  };
  const Quantity highlight = over_draws(draws, [&](const auto& d) { return tones_of(d).highlight; });
  const Quantity largest = over_draws(draws, [](const auto& d) { return d.largest_silver; });
  const Quantity share =
      over_draws(draws, [&](const auto& d) { return tones_of(d).highlight / d.largest_silver; });
  // The mean of the stops and that of the silver may lie on either side of the aim: the curve bends there.
  const bool near_the_top = std::abs(share.value - kAimHighlightShare) < share.u;
  advice.because.push_back(fmt::format(
      "The highlights hold about {} of silver ({}), {:.0f} \u00b1{:.0f}% of the {} that {} should "
      "give; the aim is 90%{}: {}.",
      plus_minus(highlight),
      is_positive(options.kind) ? "lighter than the bare support" : "denser than clear glass",
      kPercent * share.value, kPercent * share.u, plus_minus(largest),
      options.curves.empty() ? "such a material" : "your material",
      near_the_top ? ", where a little silver is much light" : "",
      error_in_words(advice.exposure_error_stops, advice.exposure_error_u)));
}

void say_blue_lights(Recommendation& advice, const RecommendOptions& options) {
  if (!options.blue_lights) return;
  advice.because.emplace_back("The brightest parts have turned blue: a sign of far too much light.");
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
  } else if (fog.value > kAimFog + fog.u) {
    reading = "a little more than is right";
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
        "than usual speaks for the first, the usual time or several veiled plates in a row for the second.");
  }
}

void say_how_sure(Recommendation& advice, const RecommendOptions& options) {
  if (options.curves.empty()) {
    advice.because.emplace_back(
        "This rests on common practice, not on your own material: a step-wedge plate (platewise calibrate "
        "plate) narrows the range.");
  }
  const double limit =
      options.curves.empty() ? kLargestChangeWithoutCurve_stops : kLargestChangeWithCurve_stops;
  if (std::abs(advice.exposure.change) >= limit - 0.01) {
    advice.because.push_back(fmt::format(
        "More than {} is never proposed from one plate; it may need more: score the next one too.",
        in_stops(limit)));
  }
}

// What the noted draw and exponent do to the times given.
void say_draw_and_reciprocity(Recommendation& advice, const PlateSettings& settings) {
  if (settings.bellows_ratio) {
    advice.because.push_back(fmt::format(
        "Drawn out to {:.2f} times the focal length, the camera loses {} of light; the times here "
        "are for that draw.",
        *settings.bellows_ratio, in_stops(std::max(0.0, extension_stops(*settings.bellows_ratio)))));
  }
  if (settings.schwarzschild_p && *settings.schwarzschild_p < 1.0 && advice.exposure.change != 0.0) {
    advice.because.push_back(fmt::format(
        "With your exponent {:.2f} for long exposures a stop takes {:.2f} times the time; the time "
        "given is reckoned so.",
        *settings.schwarzschild_p, time_after(1.0, 1.0, *settings.schwarzschild_p)));
  }
}

// Of the last plate before this one that is read by its note.
void say_noted_light(Recommendation& advice, const RecommendOptions& options) {
  for (auto plate = options.earlier.rbegin(); plate != options.earlier.rend(); ++plate) {
    const auto change = light_change({plate->settings, plate->note}, {options.settings, options.note});
    if (!change || change->by_meter) continue;
    advice.because.push_back(
        fmt::format("An earlier plate is compared by the light you noted, {} then and {} now: {} {} light "
                    "(\u00b1{}). A meter reading tells it better.",
                    noted_light(plate->note)->words, noted_light(options.note)->words,
                    in_stops(std::abs(change->stops.value)), change->stops.value < 0 ? "less" : "more",
                    in_stops(change->stops.u)));
    return;
  }
}

void say_temperature(Recommendation& advice, const PlateSettings& settings) {
  if (!settings.temperature_c) return;
  advice.because.push_back(fmt::format(
      "The developing time is for a developer at {:.0f} \u00b0C like this plate's: ten degrees warmer it works "
      "about twice as fast (1.5 to 4 times, as published).",
      *settings.temperature_c));
}

}  // namespace

void explain(Recommendation& advice, const Tones& tones, const RecommendOptions& options,
             std::span<const ProcessState> draws) {
  say_highlight(advice, options, draws);
  say_blue_lights(advice, options);
  say_shadows(advice, tones);
  say_margin(advice, tones);
  say_second_reading(advice);
  say_draw_and_reciprocity(advice, options.settings);
  say_temperature(advice, options.settings);
  say_noted_light(advice, options);
  say_how_sure(advice, options);
}

}  // namespace platewise
