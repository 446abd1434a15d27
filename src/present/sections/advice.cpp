#include <fmt/format.h>

#include "../escape.h"
#include "../markup.h"
#include "../numbers.h"
#include "../outlines.h"
#include "../pictures.h"
#include "../words.h"
#include "platewise/present/overlay.h"
#include "platewise/present/text.h"
#include "sections.h"

namespace platewise::sections {
namespace {

std::string tool(std::string_view action, std::string_view word, std::string_view more = {}) {
  return fmt::format("<button type=\"button\" data-do=\"{}\"{}>{}</button>", action, more, word);
}

std::string legend(const PlateScore& score) {
  std::string text;
  if (score.regions && score.regions->image_area_units) text += words::kPictureEdge;
  if (!score.faults.found.empty()) text += fmt::format(" {}", words::kNumbersMean);
  return text + dots_legend(score);
}

Result<std::string> stage_html(const SectionPlate& plate) {
  const PlateScore& score = plate.score;
  const ColourPicture picture = plate_picture(score, plate.sizes.stage_px);
  if (picture.empty()) return std::string{};
  Result<std::string> address = picture_address(picture);
  if (!address) return tl::make_unexpected(address.error());
  const PlateScale& scale = score.outline.scale;
  return fmt::format(
             "<figure class=\"plate\"><div class=\"stage\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">"
             "<div class=\"sheet\"><img id=\"plate-{}-picture\" src=\"{}\" alt=\"{}\" width=\"{}\" "
             "height=\"{}\" data-units=\"{:.4f} {:.4f}\">{}</div></div>",
             words::kPlateGroup, plate.number, *address, words::kPlateAlt, picture.rgb.cols, picture.rgb.rows,
             scale.width_units, scale.height_units, outlines_svg(score)) +
         "<div class=\"tools\">" + tool("closer", words::kCloser) + tool("farther", words::kFarther) +
         tool("whole", words::kWhole) + tool("outlines", words::kOutlines, " aria-pressed=\"true\"") +
         fmt::format("</div><figcaption>{}</figcaption></figure>", escaped(legend(score)));
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
  return fmt::format("<table class=\"marks\"><caption>{}</caption><tbody>", words::kMarksOf100) +
         mark_row(words::kExposure, grade.exposure, "part") +
         mark_row(words::kDevelopment, grade.development, "part") + mark_row(words::kFog, grade.fog, "part") +
         mark_row(words::kCoating, grade.coating, "part") +
         mark_row(words::kCleanliness, grade.cleanliness, "part") +
         mark_row(words::kOverall, grade.overall, "overall") + "</tbody></table>";
}

std::string state_html(const Recommendation& advice) {
  const double share = advice.probability[static_cast<std::size_t>(advice.diagnosis)];
  return fmt::format("<p class=\"state\">{}: {}</p>", words::kThisPlate,
                     fmt::format(words::kLikely, words::diagnosis(advice.diagnosis), share_text(share)));
}

std::string reasons_html(const PlateScore& score) {
  std::string html;
  if (score.recommendation) {
    html += fmt::format("<h4>{}</h4>{}", words::kWhy, list_html(score.recommendation->because));
    if (!score.recommendation->alternatives.empty()) {
      html +=
          fmt::format("<h4>{}</h4>{}", words::kAlternatives, list_html(score.recommendation->alternatives));
    }
  }
  if (score.grade && !score.grade->because.empty()) {
    html += fmt::format("<h4>{}</h4>{}", words::kMarksCost, list_html(score.grade->because));
  }
  return html;
}

}  // namespace

Result<std::string> advice(const SectionPlate& plate) {
  const PlateScore& score = plate.score;
  Result<std::string> stage = stage_html(plate);
  if (!stage) return stage;
  // The sentence comes first, so that a phone's first screen shows it.
  std::string html = fmt::format("<div class=\"first\"><div><p class=\"advice\">{}</p>",
                                 escaped(next_plate_sentence(score)));
  if (score.recommendation) html += state_html(*score.recommendation);
  html += "</div>" + *stage + "<div>";
  if (score.grade) html += marks_html(*score.grade);
  return html + reasons_html(score) + "</div></div>";
}

}  // namespace platewise::sections
