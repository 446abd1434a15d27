#include "series_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <vector>

#include "charts/charts.h"
#include "escape.h"
#include "fault_groups.h"
#include "markup.h"
#include "numbers.h"
#include "outcome_table.h"
#include "platewise/present/overlay.h"
#include "platewise/present/text.h"
#include "platewise/series/compare.h"
#include "words.h"

namespace platewise {
namespace {

constexpr int kThumbnailLongSidePx = 260;

std::string section(std::string_view id, std::string_view title, const std::string& body) {
  return fmt::format(
      "<section id=\"{0}\" aria-labelledby=\"{0}-title\"><h2 id=\"{0}-title\">{1}</h2>{2}</section>", id,
      title, body);
}

std::string state_of(const PlateScore& score) {
  std::string text(score.recommendation ? words::diagnosis(score.recommendation->diagnosis)
                                        : words::kNoAdvice);
  if (score.grade) text += ", " + fmt::format(words::kOf100, mark_text(score.grade->overall));
  return text;
}

Result<std::string> strip(std::span<const PlateScore> plates) {
  std::string html = fmt::format("<p class=\"advice\">{}</p>", escaped(next_plate_sentence(plates.back())));
  if (const auto& advice = plates.back().recommendation; advice && !advice->because.empty()) {
    html += list_html(advice->because);
  }
  html += "<ol class=\"series\">";
  for (std::size_t i = 0; i < plates.size(); ++i) {
    std::string picture;
    if (const ColourPicture small = plate_picture(plates[i], kThumbnailLongSidePx); !small.empty()) {
      Result<std::string> address = picture_address(small);
      if (!address) return address;
      picture = fmt::format("<img src=\"{}\" alt=\"\">", *address);
    }
    html +=
        fmt::format("<li><a href=\"#plate-{0}\">{1}<span>{0}. {2}</span><span>{3}</span></a></li>", i + 1,
                    picture, escaped(plates[i].scan.path.filename().string()), escaped(state_of(plates[i])));
  }
  return html + "</ol>";
}

// The map as nine numbers, row by row, from the earlier plate's units to the later one's.
std::string map_text(const Homography& map) {
  std::string text;
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 3; ++column) {
      text += fmt::format("{}{:.8g}", text.empty() ? "" : " ", map.matrix(row, column));
    }
  }
  return text;
}

std::string slider(const SeriesComparison& comparison) {
  std::string options;
  for (const PlateChange& change : comparison.changes) {
    if (!change.to_from_from) continue;
    options += fmt::format("<option value=\"{}\" data-from=\"{}\" data-to=\"{}\">{}</option>",
                           map_text(*change.to_from_from), change.from + 1, change.to + 1,
                           fmt::format(words::kSliderOption, change.from + 1, change.to + 1));
  }
  if (options.empty()) return fmt::format("<p>{}</p>", words::kSliderNone);
  return fmt::format(
      "<noscript><p>{}</p></noscript><div class=\"slider\" hidden><p><label for=\"slider-pair\">{}</label> "
      "<select id=\"slider-pair\">{}</select></p><p class=\"hint\">{}</p><div class=\"both\" role=\"img\">"
      "<div class=\"earlier\"></div><div class=\"line\"></div></div><label for=\"slider-place\">{}</label>"
      "<input id=\"slider-place\" type=\"range\" min=\"0\" max=\"100\" value=\"50\" data-says=\"{}\"></div>",
      words::kSliderNeedsScript, words::kSliderPair, options, words::kSliderHint, words::kSliderRange,
      words::kSliderNow);
}

using Value = std::function<std::optional<double>(const PlateScore&)>;

std::vector<std::optional<double>> values(std::span<const PlateScore> plates, const Value& value) {
  std::vector<std::optional<double>> points;
  for (const PlateScore& plate : plates) points.push_back(value(plate));
  return points;
}

Value tone(std::optional<Quantity> Tones::*member) {
  return [member](const PlateScore& plate) -> std::optional<double> {
    if (!plate.tones || !((*plate.tones).*member)) return std::nullopt;
    return ((*plate.tones).*member)->value;
  };
}

std::optional<double> exposure_error(const PlateScore& plate) {
  if (!plate.recommendation) return std::nullopt;
  return plate.recommendation->exposure_error_stops;
}

std::string signals_text(const DriftPlot& plot) {
  if (plot.limits == nullptr) return fmt::format(words::kDriftTooFew, plot.title, kDriftLeastPlates);
  if (plot.limits->signals.empty()) return fmt::format(words::kDriftSteady, plot.title);
  std::string text;
  for (const ChartSignal& signal : plot.limits->signals) {
    text += (text.empty() ? "" : " ") +
            fmt::format(words::kDriftSignal, plot.title, signal.index + 1, words::chart_rule(signal.rule));
  }
  return text;
}

struct DriftRow {
  std::string_view quantity;  // as compare names it
  std::string_view title;
  std::string_view axis;
  Value value;
};

// The veil in the best of the three ways the plates allow, then exposure, then the lights.
std::vector<DriftRow> drift_rows(std::span<const PlateScore> plates) {
  const DriftRow veils[] = {
      {"fog", words::kDriftFog, words::kDriftDensityAxis, tone(&Tones::fog)},
      {"margin_fog", words::kDriftMarginFog, words::kDriftDensityAxis, tone(&Tones::margin_fog)},
      {"floor_over_margin", words::kDriftFloorOverMargin, words::kDriftDensityAxis,
       tone(&Tones::floor_over_margin)}};
  const auto seen = [&](const DriftRow& row) {
    return std::count_if(plates.begin(), plates.end(),
                         [&](const PlateScore& plate) { return row.value(plate).has_value(); });
  };
  const DriftRow* veil =
      std::max_element(std::begin(veils), std::end(veils),
                       [&](const DriftRow& a, const DriftRow& b) { return seen(a) < seen(b); });
  return {*veil,
          {"exposure_error_stops", words::kDriftExposure, words::kDriftStopsAxis, exposure_error},
          {"highlight_density", words::kDriftHighlight, words::kDriftDensityAxis,
           tone(&Tones::highlight_density)}};
}

std::string drift_plots(std::span<const PlateScore> plates, const SeriesComparison& comparison) {
  std::string html = "<div class=\"pair\">";
  for (const DriftRow& row : drift_rows(plates)) {
    DriftPlot plot{.title = row.title, .axis = row.axis, .points = values(plates, row.value)};
    const bool any =
        std::any_of(plot.points.begin(), plot.points.end(), [](const auto& p) { return p.has_value(); });
    if (!any) continue;
    for (const Drift& drift : comparison.drift) {
      if (drift.quantity == row.quantity) plot.limits = &drift;
    }
    html += fmt::format("<figure><h3>{}</h3>{}<figcaption>{}</figcaption></figure>", plot.title,
                        drift_svg(plot), escaped(signals_text(plot)));
  }
  return html + "</div>";
}

std::string light_text(const PlateChange& change) {
  if (const auto& stops = change.exposure_difference_stops) {
    return fmt::format("{} \u00b1{:.1f}", stops_text(stops->value), stops->u);
  }
  return std::string(change.same_scene ? words::kNotComparable : words::kOtherScene);
}

std::string faults_text(const PlateChange& change) {
  std::string text;
  if (!change.faults_appeared.empty()) {
    text = fmt::format(words::kAppeared, kinds_text(change.faults_appeared));
  }
  if (!change.faults_gone.empty()) {
    text += (text.empty() ? "" : "; ") + fmt::format(words::kGone, kinds_text(change.faults_gone));
  }
  return text;
}

std::string changes_table(const SeriesComparison& comparison) {
  std::string html = fmt::format(
      "<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{0}\">"
      "<table class=\"plain changes\"><caption>{1}</caption><thead><tr>",
      words::kChanges, words::kChangesCaption);
  for (const std::string_view title : {words::kChangePlates, words::kChangeLight, words::kChangeFog,
                                       words::kChangeHighlight, words::kChangeFaults}) {
    html += fmt::format("<th scope=\"col\">{}</th>", title);
  }
  html += "</tr></thead><tbody>";
  for (const PlateChange& change : comparison.changes) {
    html += fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
                        fmt::format(words::kChangePair, change.from + 1, change.to + 1),
                        escaped(light_text(change)), escaped(difference_text(change.fog_change)),
                        escaped(difference_text(change.highlight_change)), escaped(faults_text(change)));
  }
  return html + "</tbody></table></div>";
}

std::string outcomes(const SeriesComparison& comparison) {
  const std::string table = outcome_table_html(comparison.advice);
  return table.empty() ? table : section("outcomes", words::kOutcomes, table);
}

}  // namespace

Result<std::string> series_html(std::span<const PlateScore> plates) {
  Result<std::string> plates_in_order = strip(plates);
  if (!plates_in_order) return plates_in_order;
  const SeriesComparison comparison = compare(plates);
  return section("series", words::kSeries, *plates_in_order) +
         section("before-after", words::kSlider, slider(comparison)) +
         section("drift", words::kDrift, drift_plots(plates, comparison)) +
         section("changes", words::kChanges, changes_table(comparison)) + outcomes(comparison);
}

}  // namespace platewise
