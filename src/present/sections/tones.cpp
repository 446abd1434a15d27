#include <fmt/format.h>

#include "../charts/charts.h"
#include "../escape.h"
#include "../numbers.h"
#include "../words.h"
#include "sections.h"

namespace platewise::sections {
namespace {

std::string row(std::string_view sign, std::string_view name, std::string_view value,
                std::string_view meaning) {
  return fmt::format(
      "<tr><td class=\"sign-cell\">{}</td><th scope=\"row\">{}</th><td class=\"number-cell\">{}</td>"
      "<td>{}</td></tr>",
      sign, escaped(name), escaped(value), escaped(meaning));
}

std::string tone_row(std::string_view sign, std::string_view name, std::string_view meaning,
                     const std::optional<Quantity>& value) {
  return row(sign, name, density_text(value), meaning);
}

std::string share_row(std::string_view name, std::string_view meaning, const std::optional<double>& share) {
  return row("", name, share ? share_text(*share) : std::string(words::kNotMeasured), meaning);
}

std::string histogram_caption(const Tones& tones) {
  std::string caption(words::kHistogramCaption);
  if (tones.fog) caption += fmt::format(" {}", words::kHistogramVeil);
  return caption + fmt::format(" {}", words::kHistogramAim);
}

std::string tone_table(const Tones& t) {
  std::string html = fmt::format(
      "<table class=\"plain tones\"><caption>{}</caption><thead><tr><th scope=\"col\">{}</th>"
      "<th scope=\"col\">{}</th><th scope=\"col\">{}</th><th scope=\"col\">{}</th></tr></thead><tbody>",
      fmt::format(words::kToneCaption, t.calibrated ? words::kCalibrated : words::kUncalibrated),
      words::kSign, words::kTone, words::kDensity, words::kWhatItIs);
  html += tone_row("S", words::kSupport, t.support_seen ? words::kSupportSeen : words::kSupportAssumed,
                   t.support_density);
  html += tone_row("M", words::kMargin, words::kMarginIs, t.margin_density);
  html += tone_row("F", words::kFloor, words::kFloorIs, t.floor_density);
  html += tone_row("\u00bd", words::kMidtone, words::kMidtoneIs, t.midtone_density);
  html += tone_row("H", words::kHighlight, words::kHighlightIs, t.highlight_density);
  html += tone_row("", words::kRange, words::kRangeIs, t.range);
  html += tone_row("", words::kFog, words::kFogIs, t.fog);
  html += tone_row("", words::kMarginFog, words::kMarginFogIs, t.margin_fog);
  html += tone_row("", words::kFloorOverMargin, words::kFloorOverMarginIs, t.floor_over_margin);
  html += share_row(words::kEmptyShadows, words::kEmptyShadowsIs, t.empty_shadow_fraction);
  html += share_row(words::kBlockedLights, words::kBlockedLightsIs, t.blocked_highlight_fraction);
  return html + "</tbody></table>";
}

}  // namespace

Result<std::string> tones(const SectionPlate& plate) {
  const Tones& t = *plate.score.tones;
  return fmt::format("<div class=\"pair\"><figure>{}<figcaption>{}</figcaption></figure>{}</div>",
                     histogram_svg(plate.score), escaped(histogram_caption(t)), tone_table(t));
}

Result<std::string> curve(const SectionPlate& plate) {
  std::string caption = fmt::format("{} {}", words::kCurveCaption, words::kCurveOutside);
  if (!curve_shows_development(plate.score)) caption += fmt::format(" {}", words::kCurveSameTime);
  return fmt::format("<figure class=\"half\">{}<figcaption>{}</figcaption></figure>", curve_svg(plate.score),
                     escaped(caption)) +
         development_html(plate.score.curves);
}

}  // namespace platewise::sections
