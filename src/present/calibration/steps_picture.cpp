#include "steps_picture.h"

#include <fmt/format.h>

#include <algorithm>

#include "../markup.h"
#include "platewise/raster/sampling.h"

namespace platewise {
namespace {

constexpr int kPictureLongSidePx = 1100;

std::string outline_svg(const Quad& outline_px, bool used) {
  std::string path;
  for (std::size_t i = 0; i < outline_px.size(); ++i) {
    path += fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : "L", outline_px[i].x, outline_px[i].y);
  }
  // White on a wider black line, so that it shows on any tone.
  return fmt::format("<path class=\"outline under\" d=\"{0}z\"/><path class=\"outline{1}\" d=\"{0}z\"/>",
                     path, used ? "" : " area");
}

// Small enough to leave most of the step to be seen.
double letter_px(const Quad& outline_px) {
  const double side =
      std::min(distance(outline_px[0], outline_px[1]), distance(outline_px[1], outline_px[2]));
  return 0.4 * side;
}

std::string number_svg(const Quad& outline_px, std::size_t number, double letter) {
  Point centre;
  for (const Point& corner : outline_px) centre = centre + 0.25 * corner;
  return fmt::format(
      "<text class=\"outline-number\" text-anchor=\"middle\" font-size=\"{:.1f}\" x=\"{:.1f}\" y=\"{:.1f}\">"
      "{}</text>",
      letter, centre.x, centre.y + 0.35 * letter, number);
}

std::string outlines_svg(const Scan& scan, const FoundSteps& found, const std::vector<bool>& used) {
  std::string svg =
      fmt::format("<svg viewBox=\"0 0 {} {}\" aria-hidden=\"true\">", scan.width_px, scan.height_px);
  for (std::size_t i = 0; i < found.steps.size(); ++i) {
    svg += outline_svg(found.steps[i].outline_px, used.empty() || used[i]);
  }
  double letter = 1e9;
  for (const FoundStep& step : found.steps) letter = std::min(letter, letter_px(step.outline_px));
  for (std::size_t i = 0; i < found.steps.size(); ++i) {
    svg += number_svg(found.steps[i].outline_px, i + 1, letter);
  }
  return svg + "</svg>";
}

// A picture that can be enlarged, with outlines over it that can be hidden.
std::string stage_html(const std::string& address, const ColourPicture& picture, const std::string& outlines,
                       std::string_view caption) {
  return fmt::format(
      "<figure><div class=\"stage\" tabindex=\"0\" role=\"group\" aria-label=\"The scan with its steps; plus "
      "and minus keys zoom, arrows move\"><div class=\"sheet\">"
      "<img src=\"{}\" alt=\"The scan as read\" width=\"{}\" height=\"{}\">{}</div></div>"
      "<div class=\"tools\"><button type=\"button\" data-do=\"closer\">Closer</button>"
      "<button type=\"button\" data-do=\"farther\">Farther</button>"
      "<button type=\"button\" data-do=\"whole\">Whole</button>"
      "<button type=\"button\" data-do=\"outlines\" aria-pressed=\"true\">Outlines</button></div>"
      "<figcaption>{}</figcaption></figure>",
      address, picture.rgb.cols, picture.rgb.rows, outlines, caption);
}

}  // namespace

Result<std::string> steps_picture_html(const Scan& scan, const FoundSteps& found,
                                       const std::vector<bool>& used) {
  const bool any_left_out = std::find(used.begin(), used.end(), false) != used.end();
  const ColourPicture picture = display_picture(scan.image.luminance, kPictureLongSidePx);
  Result<std::string> address = picture_address(picture);
  if (!address) return address;
  return stage_html(*address, picture, outlines_svg(scan, found, used),
                    any_left_out
                        ? "The steps as found: check that each outline lies on its step. Dashed: left out."
                        : "The steps as found: check that each outline lies on its step.");
}

}  // namespace platewise
