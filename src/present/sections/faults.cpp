#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <set>

#include "../escape.h"
#include "../fault_groups.h"
#include "../markup.h"
#include "../numbers.h"
#include "../pictures.h"
#include "../words.h"
#include "platewise/present/overlay.h"
#include "sections.h"

namespace platewise::sections {
namespace {

constexpr std::size_t kWorstOfGroup = 6;
constexpr double kCropMargin = 0.35;         // of the fault's own size on each side
constexpr double kCropLeastShare = 0.018;    // of the plate's long side on each side
constexpr double kSeverityDecimals = 100.0;  // severity is written with two

struct Cutter {
  ColourPicture plate;
  double px_per_unit = 1.0;
  int longest_px = 0;

  [[nodiscard]] Result<std::string> address(const Fault& fault) const {
    const double margin = kCropMargin * std::max(fault.box_width, fault.box_height) * px_per_unit +
                          kCropLeastShare * std::max(plate.rgb.cols, plate.rgb.rows);
    const cv::Rect box(static_cast<int>(fault.box_origin.x * px_per_unit - margin),
                       static_cast<int>(fault.box_origin.y * px_per_unit - margin),
                       std::max(1, static_cast<int>(fault.box_width * px_per_unit + 2 * margin)),
                       std::max(1, static_cast<int>(fault.box_height * px_per_unit + 2 * margin)));
    cv::Mat crop = plate.rgb(box & cv::Rect(0, 0, plate.rgb.cols, plate.rgb.rows)).clone();
    if (crop.empty()) return std::string{};
    const double scale = static_cast<double>(longest_px) / std::max(crop.cols, crop.rows);
    if (scale < 1.0) cv::resize(crop, crop, {}, scale, scale, cv::INTER_AREA);
    return picture_address({crop});
  }
};

std::string measures(const PlateScore& score, const Fault& fault) {
  const std::string_view unit = score.outline.scale.millimetres ? words::kMm : words::kRelativeUnit;
  std::string text = fmt::format("{:.1f} x {:.1f} {}", fault.box_width, fault.box_height, unit);
  if (fault.length) text += fmt::format(words::kFaultLength, fmt::format("{:.1f}", *fault.length));
  if (fault.angle_deg) text += fmt::format(words::kFaultDirection, fmt::format("{:.0f}", *fault.angle_deg));
  const double severity = std::round(fault.severity * kSeverityDecimals) / kSeverityDecimals;
  return text + fmt::format(words::kFaultSeverity, severity, share_text(fault.confidence));
}

// The faults that get a picture: the worst ones, few of a kind that is shown as one.
std::set<std::size_t> pictured(const PlateScore& score, const std::vector<FaultGroup>& groups,
                               std::size_t at_most) {
  std::vector<std::size_t> candidates;
  for (const FaultGroup& group : groups) {
    const std::size_t count = group.shown_as_one() ? kWorstOfGroup : group.members.size();
    candidates.insert(candidates.end(), group.members.begin(),
                      group.members.begin() + static_cast<std::ptrdiff_t>(count));
  }
  const std::vector<Fault>& found = score.faults.found;
  std::stable_sort(candidates.begin(), candidates.end(),
                   [&](std::size_t a, std::size_t b) { return found[a].severity > found[b].severity; });
  if (candidates.size() > at_most) candidates.resize(at_most);
  return {candidates.begin(), candidates.end()};
}

std::string group_line(const FaultGroup& group) {
  std::string text = fmt::format(words::kGroupCount, group.members.size());
  if (group.per_cm2) text += fmt::format(words::kPerCm2, per_area_text(*group.per_cm2));
  text += fmt::format(words::kGroupArea, share_text(group.area_share));
  return fmt::format("<p>{}. {}</p>", escaped(text), words::kGroupWorst);
}

// Each line once, in the order of the worst fault that has it.
std::vector<std::string> lines_of(const PlateScore& score, const FaultGroup& group,
                                  std::vector<std::string> Fault::*lines) {
  std::vector<std::string> all;
  for (const std::size_t member : group.members) {
    for (const std::string& line : score.faults.found[member].*lines) {
      if (std::find(all.begin(), all.end(), line) == all.end()) all.push_back(line);
    }
  }
  return all;
}

std::string guidance_html(const PlateScore& score, const FaultGroup& group) {
  std::string html;
  const auto add = [&](std::string_view title, std::vector<std::string> Fault::*lines) {
    if (const auto all = lines_of(score, group, lines); !all.empty()) {
      html += fmt::format("<h5>{}</h5>{}", title, list_html(all));
    }
  };
  add(words::kCauses, &Fault::likely_causes);
  add(words::kRemedies, &Fault::remedies);
  if (const auto care = lines_of(score, group, &Fault::cautions); !care.empty()) {
    html += fmt::format("<h5>{}</h5>{}", words::kCautions, list_html(care, "care"));
  }
  return html;
}

Result<std::string> figure_html(const SectionPlate& plate, std::size_t member, const Cutter& cutter,
                                bool with_picture) {
  const Fault& fault = plate.score.faults.found[member];
  std::string picture;
  if (with_picture) {
    Result<std::string> address = cutter.address(fault);
    if (!address) return address;
    if (!address->empty()) {
      picture = fmt::format("<img src=\"{}\" alt=\"{}\">", *address,
                            escaped(fmt::format(words::kFaultAlt, member + 1)));
    }
  }
  return fmt::format("<figure class=\"crop\">{}<figcaption><b>{}</b> {}</figcaption></figure>", picture,
                     member + 1, escaped(measures(plate.score, fault)));
}

}  // namespace

Result<std::string> faults(const SectionPlate& plate) {
  const PlateScore& score = plate.score;
  if (score.faults.found.empty()) return fmt::format("<p>{}</p>", words::kNoFaults);
  Cutter cutter{.plate = plate_picture(score, plate.sizes.crop_source_px), .longest_px = plate.sizes.crop_px};
  cutter.px_per_unit = cutter.plate.rgb.cols / score.outline.scale.width_units;
  const std::vector<FaultGroup> groups = fault_groups(score);
  const std::set<std::size_t> with_picture = pictured(score, groups, plate.sizes.crops);
  std::string html;
  for (const FaultGroup& group : groups) {
    html += fmt::format("<div class=\"fault\"><h4>{}</h4>", escaped(words::fault(group.id)));
    if (group.shown_as_one()) html += group_line(group);
    html += "<div class=\"crops\">";
    for (const std::size_t member : group.members) {
      const bool pictures = with_picture.contains(member);
      if (group.shown_as_one() && !pictures) continue;
      Result<std::string> figure = figure_html(plate, member, cutter, pictures);
      if (!figure) return figure;
      html += *figure;
    }
    html += "</div>" + guidance_html(score, group) + "</div>";
  }
  return html;
}

}  // namespace platewise::sections
