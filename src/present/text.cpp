#include "platewise/present/text.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string_view>
#include <vector>

#include "fault_groups.h"
#include "numbers.h"
#include "platewise/core/result.h"
#include "words.h"

namespace platewise {
namespace {

constexpr double kSmallestStop = 1.0 / 12.0;  // less than this is no change
constexpr double kSmallestPercent = 2.5;
constexpr int kLabelColumns = 13;

std::string exposure_part(const Change& change) {
  const std::string range = stops_range_text(change);
  const bool keep = std::abs(change.change) < kSmallestStop;
  if (change.to_s) {
    return fmt::format(fmt::runtime(keep ? words::kKeepExposureSeconds : words::kGiveSeconds),
                       seconds_text(*change.to_s), range);
  }
  return fmt::format(fmt::runtime(keep ? words::kKeepExposure : words::kGiveStops), range);
}

std::string development_part(const Change& change) {
  const std::string range = percent_range_text(change);
  const bool keep = std::abs(change.change) < kSmallestPercent;
  if (change.to_s) {
    return fmt::format(fmt::runtime(keep ? words::kKeepDevelopmentSeconds : words::kStopDeveloperSeconds),
                       seconds_text(*change.to_s), range);
  }
  return fmt::format(fmt::runtime(keep ? words::kKeepDevelopment : words::kDevelopPercent), range);
}

// Columns of UTF-8 text, counting code points.
std::size_t columns(std::string_view text) {
  std::size_t count = 0;
  for (const char c : text) count += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
  return count;
}

class Sheet {
 public:
  explicit Sheet(const TextStyle& style) : style_(style) {}

  void heading(const std::string& text) { text_ += emphasised(text) + "\n"; }

  void line(std::string_view label, const std::string& body) {
    std::string padded = fmt::format("  {:<{}}", label, kLabelColumns - 2);
    text_ += wrapped(padded + body);
  }

  void items(std::string_view label, const std::vector<std::string>& entries) {
    for (std::size_t i = 0; i < entries.size(); ++i) line(i == 0 ? label : "", entries[i]);
  }

  // Those not said before, and a word for the others.
  void new_items(std::string_view label, const std::vector<std::string>& entries,
                 const std::set<std::string>& said) {
    std::vector<std::string> fresh;
    for (const std::string& entry : entries) {
      if (!said.contains(entry)) fresh.push_back(entry);
    }
    const bool all = fresh.size() == entries.size();
    if (!all) fresh.emplace_back(fresh.empty() ? words::kTextAsAbove : words::kTextRestAsAbove);
    items(label, fresh);
  }

  [[nodiscard]] std::string text() && { return std::move(text_); }

 private:
  [[nodiscard]] std::string emphasised(const std::string& text) const {
    return style_.colour ? "\x1b[1m" + text + "\x1b[0m" : text;
  }

  // Breaks at spaces; following lines start under the body.
  [[nodiscard]] std::string wrapped(const std::string& line) const {
    std::string result;
    std::string row;
    std::size_t start = 0;
    const auto width = static_cast<std::size_t>(style_.width);
    while (start < line.size()) {
      std::size_t end = line.find(' ', start);
      if (end == std::string::npos) end = line.size();
      const std::string word = line.substr(start, end - start);
      const bool has_body = row.find_first_not_of(' ') != std::string::npos;
      if (has_body && columns(row) + columns(word) > width && columns(row) > kLabelColumns) {
        while (row.ends_with(' ')) row.pop_back();
        result += row + "\n";
        row = std::string(kLabelColumns, ' ');
      }
      row += word;
      if (end < line.size()) row += ' ';
      start = end + 1;
    }
    while (row.ends_with(' ')) row.pop_back();
    return result + row + "\n";
  }

  TextStyle style_;
  std::string text_;
};

std::string title(const PlateScore& score) {
  // message() keeps odd file names on one line.
  std::string name = Problem{"", score.scan.path.filename().string(), ""}.message();
  std::string text = fmt::format("{}: {}", name, words::kind(score.kind));
  const PlateScale& scale = score.outline.scale;
  if (!score.outline.found) return text;
  if (scale.size_name) text += fmt::format(", {} plate", *scale.size_name);
  if (scale.millimetres) text += fmt::format(", {:.1f} x {:.1f} mm", scale.width_units, scale.height_units);
  return text;
}

std::string tones_line(const Tones& tones) {
  std::string text;
  const std::array<std::pair<std::string_view, const std::optional<Quantity>*>, 9> rows{
      {{words::kSupport, &tones.support_density},
       {words::kMargin, &tones.margin_density},
       {words::kFloor, &tones.floor_density},
       {words::kMidtone, &tones.midtone_density},
       {words::kHighlight, &tones.highlight_density},
       {words::kRange, &tones.range},
       {words::kFog, &tones.fog},
       {words::kMarginFog, &tones.margin_fog},
       {words::kFloorOverMargin, &tones.floor_over_margin}}};
  for (const auto& [name, value] : rows) {
    if (*value) text += fmt::format("{}{} {}", text.empty() ? "" : "; ", name, density_text(*value));
  }
  return text;
}

std::string marks_line(const Grade& grade) {
  return fmt::format("{} of 100: exposure {}, development {}, fog {}, coating {}, cleanliness {}",
                     mark_text(grade.overall), mark_text(grade.exposure), mark_text(grade.development),
                     mark_text(grade.fog), mark_text(grade.coating), mark_text(grade.cleanliness));
}

std::string faults_line(const PlateScore& score) {
  std::string text;
  for (const FaultGroup& group : fault_groups(score)) {
    if (!text.empty()) text += ", ";
    const std::string name = words::fault(group.id);
    text += group.members.size() == 1 ? name : fmt::format(words::kTextMany, group.members.size(), name);
    if (group.shown_as_one() && group.per_cm2) {
      text += fmt::format(words::kTextPerCm2, per_area_text(*group.per_cm2));
    }
  }
  return text;
}

}  // namespace

std::string next_plate_sentence(const PlateScore& score) {
  if (!score.outline.found) return std::string(words::kNotFound);
  if (!score.recommendation) return std::string(words::kNothingToSay);
  return exposure_part(score.recommendation->exposure) + development_part(score.recommendation->development);
}

std::string summary_text(const PlateScore& score, const TextStyle& style, const std::set<std::string>& said) {
  Sheet sheet(style);
  sheet.heading(title(score));
  sheet.line(words::kNextPlate, next_plate_sentence(score));
  if (const auto& advice = score.recommendation) {
    const double share = advice->probability[static_cast<std::size_t>(advice->diagnosis)];
    sheet.line(words::kThisPlate,
               fmt::format(words::kLikely, words::diagnosis(advice->diagnosis), share_text(share)));
    sheet.items(words::kWhy, advice->because);
    sheet.items(words::kAlternatives, advice->alternatives);
  }
  if (score.grade) sheet.line(words::kMarks, marks_line(*score.grade));
  if (score.tones) {
    sheet.line(words::kTones, tones_line(*score.tones) +
                                  fmt::format(" ({})", score.tones->calibrated ? words::kTextDensity
                                                                               : words::kTextUncalibrated));
  }
  if (!score.faults.found.empty()) sheet.line(words::kFound, faults_line(score));
  sheet.new_items(words::kDoubts, score.warnings, said);
  sheet.new_items(words::kCautions, score.cautions, said);
  return std::move(sheet).text();
}

}  // namespace platewise
