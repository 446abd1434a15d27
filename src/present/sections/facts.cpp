#include <fmt/format.h>

#include "../markup.h"
#include "../numbers.h"
#include "../words.h"
#include "sections.h"

namespace platewise::sections {
namespace {

std::string seconds_or_unknown(const std::optional<double>& seconds) {
  return seconds ? seconds_text(*seconds) + " s" : std::string(words::kNotNoted);
}

std::string size_text(const PlateOutline& outline) {
  if (!outline.found) return std::string(words::kSizeNotFound);
  if (!outline.scale.millimetres) return std::string(words::kSizeUnknown);
  std::string text = fmt::format("{:.1f} x {:.1f} mm", outline.scale.width_units, outline.scale.height_units);
  if (outline.scale.size_name) text += fmt::format(" ({})", *outline.scale.size_name);
  return text;
}

}  // namespace

Result<std::string> facts(const SectionPlate& plate) {
  const PlateScore& score = plate.score;
  const Scan& scan = score.scan;
  std::string html = "<table class=\"plain facts\"><tbody>";
  html += row_html(words::kFile, scan.path.filename().string());
  html += row_html(words::kScan, fmt::format(words::kScanIs, scan.width_px, scan.height_px, scan.bits,
                                             scan.channels == 1 ? words::kGrey : words::kColour));
  html += row_html(words::kProfile, scan.colour_profile);
  html += row_html(words::kResolution,
                   scan.resolution_dpi ? fmt::format(words::kDpi, fmt::format("{:.0f}", *scan.resolution_dpi))
                                       : std::string(words::kNotStated));
  html += row_html(words::kPlate, fmt::format("{}, {}", words::kind(score.kind), size_text(score.outline)));
  html += row_html(words::kOutline, fmt::format(words::kSure, share_text(score.outline.confidence)));
  if (score.regions) html += row_html(words::kCovered, share_text(score.regions->covered_fraction));
  html += row_html(words::kExposureGiven, seconds_or_unknown(score.settings.exposure_s));
  html += row_html(words::kDevelopmentGiven, seconds_or_unknown(score.settings.development_s));
  if (!score.note.empty()) html += row_html(words::kNote, score.note);
  html += row_html(words::kFingerprint, scan.sha256);
  return html + "</tbody></table>";
}

Result<std::string> warnings(const SectionPlate& plate) {
  return list_html(plate.score.warnings);
}

Result<std::string> cautions(const SectionPlate& plate) {
  return list_html(plate.score.cautions, "care");
}

}  // namespace platewise::sections
