#include <fmt/format.h>

#include <algorithm>
#include <opencv2/core.hpp>

#include "../escape.h"
#include "../markup.h"
#include "../numbers.h"
#include "../words.h"
#include "platewise/present/overlay.h"
#include "sections.h"

namespace platewise::sections {
namespace {

constexpr int kCropSourcePx = 2000;
constexpr int kCropLeastPx = 120;
constexpr double kCropMargin = 0.35;  // of the fault's own size on each side

ColourPicture crop_of(const ColourPicture& plate, const Fault& fault, double px_per_unit) {
  const double margin =
      kCropMargin * std::max(fault.box_width, fault.box_height) * px_per_unit + kCropLeastPx / 2.0;
  const cv::Rect box(static_cast<int>(fault.box_origin.x * px_per_unit - margin),
                     static_cast<int>(fault.box_origin.y * px_per_unit - margin),
                     static_cast<int>(fault.box_width * px_per_unit + 2 * margin),
                     static_cast<int>(fault.box_height * px_per_unit + 2 * margin));
  return {plate.rgb(box & cv::Rect(0, 0, plate.rgb.cols, plate.rgb.rows)).clone()};
}

std::string measures(const PlateScore& score, const Fault& fault) {
  const std::string_view unit = score.outline.scale.millimetres ? "mm" : "% of the long side";
  std::string text = fmt::format("{:.1f} x {:.1f} {}", fault.box_width, fault.box_height, unit);
  if (fault.length) text += fmt::format(", length {:.1f}", *fault.length);
  if (fault.angle_deg) text += fmt::format(", direction {:.0f}\u00b0", *fault.angle_deg);
  return text +
         fmt::format(", severity {:.2f} of 1, confidence {}", fault.severity, share_text(fault.confidence));
}

}  // namespace

Result<std::string> faults(const PlateScore& score) {
  if (score.faults.found.empty()) return fmt::format("<p>{}</p>", words::kNoFaults);
  const ColourPicture plate = plate_picture(score, kCropSourcePx);
  const double px_per_unit = plate.rgb.cols / score.outline.scale.width_units;
  std::string html;
  int number = 0;
  for (const Fault& fault : score.faults.found) {
    const Result<std::string> address = picture_address(crop_of(plate, fault, px_per_unit));
    if (!address) return address;
    html += fmt::format(
        "<div class=\"fault\"><h3>{} {}</h3><p>{}</p><img src=\"{}\" alt=\"Part of the plate with mark {}\">",
        ++number, escaped(words::fault(fault.id)), escaped(measures(score, fault)), *address, number);
    if (!fault.likely_causes.empty()) html += "<h4>Likely causes</h4>" + list_html(fault.likely_causes);
    if (!fault.remedies.empty()) html += "<h4>What to do</h4>" + list_html(fault.remedies);
    if (!fault.cautions.empty()) html += list_html(fault.cautions, "care");
    html += "</div>";
  }
  return html;
}

}  // namespace platewise::sections
