#include "outlines.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "fault_groups.h"
#include "words.h"

namespace platewise {
namespace {

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

std::string numbered_svg(const PlateScale& scale, const Fault& fault, std::size_t number) {
  const double letter_units = 0.03 * std::max(scale.width_units, scale.height_units);
  const std::string text = fmt::format("{}", number);
  const double text_units = 0.7 * letter_units * static_cast<double>(text.size());
  const double x = std::min(fault.box_origin.x + fault.box_width, scale.width_units - text_units);
  const double y = std::clamp(fault.box_origin.y, letter_units, scale.height_units);
  return outline_svg(outline_or_box(fault), "fault-outline") +
         fmt::format(
             "<text class=\"outline-number\" font-size=\"{:.2f}\" x=\"{:.2f}\" y=\"{:.2f}\">{}</text>",
             letter_units, x, y, text);
}

// Shapes, not colours, tell kinds apart.
std::string dots_svg(const PlateScore& score, const FaultGroup& group, std::size_t kind) {
  const PlateScale& scale = score.outline.scale;
  const double r = 0.006 * std::max(scale.width_units, scale.height_units);
  std::string path;
  for (const std::size_t member : group.members) {
    const Fault& fault = score.faults.found[member];
    const double x = fault.box_origin.x + fault.box_width / 2;
    const double y = fault.box_origin.y + fault.box_height / 2;
    switch (kind % 3) {
      case 0:
        path +=
            fmt::format("M{0:.2f} {1:.2f}a{2:.2f} {2:.2f} 0 1 0 {3:.2f} 0a{2:.2f} {2:.2f} 0 1 0 -{3:.2f} 0z",
                        x - r, y, r, 2 * r);
        break;
      case 1:
        path += fmt::format("M{0:.2f} {1:.2f}h{2:.2f}v{2:.2f}h-{2:.2f}z", x - r, y - r, 2 * r);
        break;
      default:
        path +=
            fmt::format("M{:.2f} {:.2f}l{:.2f} {:.2f}h-{:.2f}z", x, y - 1.3 * r, 1.3 * r, 2.3 * r, 2.6 * r);
    }
  }
  return fmt::format("<path class=\"dots\" d=\"{}\"/>", path);
}

}  // namespace

std::string outlines_svg(const PlateScore& score) {
  const PlateScale& scale = score.outline.scale;
  std::string svg = fmt::format("<svg viewBox=\"0 0 {:.2f} {:.2f}\" aria-hidden=\"true\">", scale.width_units,
                                scale.height_units);
  if (score.regions && score.regions->image_area_units) {
    svg += outline_svg(*score.regions->image_area_units, "area");
  }
  std::string numbers;
  std::size_t kind = 0;
  for (const FaultGroup& group : fault_groups(score)) {
    if (group.shown_as_one()) {
      svg += dots_svg(score, group, kind++);
      continue;
    }
    for (const std::size_t member : group.members) {
      numbers += numbered_svg(scale, score.faults.found[member], member + 1);
    }
  }
  return svg + numbers + "</svg>";
}

std::string dots_legend(const PlateScore& score) {
  constexpr std::array kShapes{words::kDotsMean, words::kSquaresMean, words::kTrianglesMean};
  std::string text;
  std::size_t kind = 0;
  for (const FaultGroup& group : fault_groups(score)) {
    if (!group.shown_as_one()) continue;
    text += fmt::format(
        " {}", fmt::format(fmt::runtime(kShapes.at(kind++ % kShapes.size())), words::fault(group.id)));
  }
  return text;
}

}  // namespace platewise
