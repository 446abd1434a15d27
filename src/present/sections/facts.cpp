#include <fmt/format.h>

#include "../markup.h"
#include "../numbers.h"
#include "../words.h"
#include "sections.h"

namespace platewise::sections {
namespace {

std::string seconds_or_unknown(const std::optional<double>& seconds) {
  return seconds ? seconds_text(*seconds) + " s" : "not noted";
}

std::string size_text(const PlateOutline& outline) {
  if (!outline.found) return "not found";
  if (!outline.scale.millimetres) return "scale unknown: lengths are in hundredths of the long side";
  std::string text = fmt::format("{:.1f} x {:.1f} mm", outline.scale.width_units, outline.scale.height_units);
  if (outline.scale.size_name) text += fmt::format(" ({})", *outline.scale.size_name);
  return text;
}

}  // namespace

Result<std::string> facts(const PlateScore& score) {
  const Scan& scan = score.scan;
  std::string html = "<table class=\"plain\"><tbody>";
  html += row_html("file", scan.path.filename().string());
  html += row_html("scan", fmt::format("{} x {} pixels, {} bit, {}", scan.width_px, scan.height_px, scan.bits,
                                       scan.channels == 1 ? "grey" : "colour"));
  html += row_html("colour profile", scan.colour_profile);
  html += row_html("resolution",
                   scan.resolution_dpi ? fmt::format("{:.0f} dpi", *scan.resolution_dpi) : "not stated");
  html += row_html("plate", fmt::format("{}, {}", words::kind(score.kind), size_text(score.outline)));
  html += row_html("plate outline", fmt::format("confidence {}", share_text(score.outline.confidence)));
  if (score.regions) html += row_html("covered by film", share_text(score.regions->covered_fraction));
  html += row_html("exposure given", seconds_or_unknown(score.settings.exposure_s));
  html += row_html("development given", seconds_or_unknown(score.settings.development_s));
  if (!score.note.empty()) html += row_html("note", score.note);
  html += row_html("fingerprint of the file (SHA-256)", scan.sha256);
  return html + "</tbody></table>";
}

Result<std::string> warnings(const PlateScore& score) {
  return list_html(score.warnings);
}

Result<std::string> cautions(const PlateScore& score) {
  return list_html(score.cautions, "care");
}

}  // namespace platewise::sections
