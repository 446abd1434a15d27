#include <fmt/format.h>

#include <array>
#include <utility>

#include "../charts.h"
#include "../escape.h"
#include "../numbers.h"
#include "../words.h"
#include "sections.h"

namespace platewise::sections {
namespace {

std::string tone_row(std::string_view letter, std::string_view name, std::string_view meaning,
                     const std::optional<Quantity>& value) {
  return fmt::format(
      "<tr><td>{}</td><th scope=\"row\">{}</th><td class=\"number-cell\">{}</td><td>{}</td></tr>", letter,
      escaped(name), escaped(density_text(value)), escaped(meaning));
}

std::string share_row(std::string_view name, std::string_view meaning, const std::optional<double>& share) {
  return fmt::format(
      "<tr><td></td><th scope=\"row\">{}</th><td class=\"number-cell\">{}</td><td>{}</td></tr>",
      escaped(name), share ? share_text(*share) : std::string(words::kNotMeasured), escaped(meaning));
}

}  // namespace

Result<std::string> tones(const PlateScore& score) {
  const Tones& t = *score.tones;
  std::string html = "<div class=\"pair\"><figure>" + histogram_svg(score) +
                     "<figcaption>How much of the picture lies at each density.</figcaption></figure>";
  html += fmt::format(
      "<table class=\"plain\"><caption>Density, ± one standard uncertainty ({})</caption>"
      "<thead><tr><th scope=\"col\">Sign</th><th scope=\"col\">Tone</th><th scope=\"col\">Density</th>"
      "<th scope=\"col\">What it is</th></tr></thead><tbody>",
      t.calibrated ? "calibrated with your wedge" : "no device file: the level may be off, differences hold");
  html += tone_row("S", "support", t.support_seen ? "bare support, seen" : "bare support, assumed",
                   t.support_density);
  html += tone_row("M", "margin", "coated rim the holder covered", t.margin_density);
  html += tone_row("F", "floor", "deepest shadow of the picture", t.floor_density);
  html += tone_row("\u00bd", "mid-tone", "half of the picture is darker", t.midtone_density);
  html += tone_row("H", "highlight", "lightest 2 % begin here", t.highlight_density);
  html += tone_row("", "range", "from floor to highlight", t.range);
  html += tone_row("", "fog", "the whole veil of the deepest shadow", t.fog);
  html += tone_row("", "margin fog", "veil without light: chemistry, development, darkroom", t.margin_fog);
  html += tone_row("", "floor over margin", "light through the lens", t.floor_over_margin);
  html += share_row("empty shadows", "at the floor, no detail above grain", t.empty_shadow_fraction);
  html += share_row("blocked lights", "at the top, no detail above grain", t.blocked_highlight_fraction);
  return html + "</tbody></table></div>";
}

Result<std::string> curve(const PlateScore& score) {
  return "<figure>" + curve_svg(score) +
         "<figcaption>Filled dots: this plate's tones. Open squares: where the proposed exposure puts them."
         "</figcaption></figure>";
}

}  // namespace platewise::sections
