#include <fmt/format.h>

#include <array>
#include <utility>

#include "../escape.h"
#include "../markup.h"
#include "../numbers.h"
#include "../words.h"
#include "platewise/present/overlay.h"
#include "platewise/present/text.h"
#include "sections.h"

namespace platewise::sections {
namespace {

constexpr int kPictureLongSidePx = 1100;

std::string path_data(const Polygon& outline_units) {
  std::string path;
  for (std::size_t i = 0; i < outline_units.size(); ++i) {
    path += fmt::format("{}{:.2f} {:.2f}", i == 0 ? "M" : "L", outline_units[i].x, outline_units[i].y);
  }
  return path + "z";
}

// White on a wider black line, so that it shows on any tone.
std::string outline_svg(const Polygon& outline_units, std::string_view css_class) {
  const std::string path = path_data(outline_units);
  return fmt::format("<path class=\"outline under\" d=\"{0}\"/><path class=\"outline {1}\" d=\"{0}\"/>", path,
                     css_class);
}

Polygon outline_or_box(const Fault& fault) {
  if (!fault.outline_units.empty()) return fault.outline_units;
  const Point a = fault.box_origin;
  return {a,
          {a.x + fault.box_width, a.y},
          {a.x + fault.box_width, a.y + fault.box_height},
          {a.x, a.y + fault.box_height}};
}

std::string outlines_svg(const PlateScore& score) {
  const PlateScale& scale = score.outline.scale;
  std::string svg = fmt::format("<svg viewBox=\"0 0 {:.2f} {:.2f}\" aria-hidden=\"true\">", scale.width_units,
                                scale.height_units);
  if (score.regions && score.regions->image_area_units) {
    svg += outline_svg(*score.regions->image_area_units, "area");
  }
  const double letter_units = 0.03 * std::max(scale.width_units, scale.height_units);
  int number = 0;
  for (const Fault& fault : score.faults.found) {
    svg += outline_svg(outline_or_box(fault), "fault-outline");
    svg +=
        fmt::format("<text class=\"outline-number\" font-size=\"{:.2f}\" x=\"{:.2f}\" y=\"{:.2f}\">{}</text>",
                    letter_units, fault.box_origin.x + fault.box_width,
                    std::max(letter_units, fault.box_origin.y), ++number);
  }
  return svg + "</svg>";
}

Result<std::string> stage_html(const PlateScore& score) {
  const ColourPicture picture = plate_picture(score, kPictureLongSidePx);
  if (picture.empty()) return std::string{};
  const Result<std::string> address = picture_address(picture);
  if (!address) return tl::make_unexpected(address.error());
  return fmt::format(
      "<figure><div class=\"stage\" tabindex=\"0\" role=\"group\" aria-label=\"The plate; plus and minus "
      "keys zoom, arrows "
      "move\"><div class=\"sheet\"><img src=\"{}\" alt=\"The plate as scanned, upright\" width=\"{}\" "
      "height=\"{}\">{}</div></div>"
      "<div class=\"tools\"><button type=\"button\" data-do=\"closer\">Closer</button>"
      "<button type=\"button\" data-do=\"farther\">Farther</button><button type=\"button\" "
      "data-do=\"whole\">Whole</button>"
      "<button type=\"button\" data-do=\"outlines\" aria-pressed=\"true\">Outlines</button></div>"
      "<figcaption>Dashed: the picture inside the rim. Numbers: the marks listed "
      "below.</figcaption></figure>",
      *address, picture.rgb.cols, picture.rgb.rows, outlines_svg(score));
}

std::string mark_row(std::string_view name, double mark, std::string_view css_class) {
  return fmt::format(
      "<tr class=\"{0}\"><th scope=\"row\">{1}</th><td class=\"number-cell\">{2}</td><td class=\"bar\">"
      "<svg class=\"gauge\" viewBox=\"0 0 100 8\" preserveAspectRatio=\"none\" aria-hidden=\"true\">"
      "<rect class=\"rest\" x=\"0\" y=\"0\" width=\"100\" height=\"8\"/>"
      "<rect class=\"full\" x=\"0\" y=\"0\" width=\"{3:.1f}\" height=\"8\"/></svg></td></tr>",
      css_class, escaped(name), mark_text(mark), mark);
}

std::string marks_html(const Grade& grade) {
  return fmt::format("<table class=\"marks\"><caption>{} out of 100</caption>", words::kMarks) +
         mark_row("exposure", grade.exposure, "part") + mark_row("development", grade.development, "part") +
         mark_row("fog", grade.fog, "part") + mark_row("coating", grade.coating, "part") +
         mark_row("cleanliness", grade.cleanliness, "part") + mark_row("overall", grade.overall, "overall") +
         "</table>";
}

std::string state_html(const Recommendation& advice) {
  const double share = advice.probability[static_cast<std::size_t>(advice.diagnosis)];
  return fmt::format("<p class=\"state\">{}: {} ({} likely)</p>", words::kThisPlate,
                     words::diagnosis(advice.diagnosis), share_text(share));
}

std::string reasons_html(const PlateScore& score) {
  std::string html;
  if (score.recommendation) {
    html += fmt::format("<h3>{}</h3>{}", words::kWhy, list_html(score.recommendation->because));
    if (!score.recommendation->alternatives.empty()) {
      html +=
          fmt::format("<h3>{}</h3>{}", words::kAlternatives, list_html(score.recommendation->alternatives));
    }
  }
  if (score.grade && !score.grade->because.empty()) {
    html += fmt::format("<h3>What cost marks</h3>{}", list_html(score.grade->because));
  }
  return html;
}

}  // namespace

Result<std::string> advice(const PlateScore& score) {
  const Result<std::string> stage = stage_html(score);
  if (!stage) return stage;
  std::string html = "<div class=\"first\">" + *stage + "<div>";
  html += fmt::format("<p class=\"advice\">{}</p>", escaped(next_plate_sentence(score)));
  if (score.recommendation) html += state_html(*score.recommendation);
  if (score.grade) html += marks_html(*score.grade);
  return html + reasons_html(score) + "</div></div>";
}

}  // namespace platewise::sections
