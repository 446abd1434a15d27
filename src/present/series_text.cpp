#include "platewise/present/series_text.h"

#include <fmt/format.h>

#include <array>
#include <string>
#include <string_view>

#include "fault_groups.h"
#include "numbers.h"
#include "platewise/core/result.h"
#include "platewise/present/text.h"
#include "words.h"

namespace platewise {
namespace {

std::string value_or_dash(const std::optional<Quantity>& value) {
  return value ? density_text(value) : "-";
}

std::string name_of_plate(const PlateScore& plate) {
  return Problem{"", plate.scan.path.filename().string(), ""}.message();
}

// Fields of one width in letters, whatever a plus-minus sign takes in bytes.
std::string table_row(std::string_view number, std::string_view plate,
                      const std::array<std::string, 5>& tones, std::string_view state) {
  std::string row = fmt::format("{:>3}  {:<24}", number, plate);
  for (const std::string& tone : tones) row += fmt::format(" {:>11}", tone);
  return fmt::format("{}  {}\n", row, state);
}

std::string tone_table(std::span<const PlateScore> plates) {
  std::string text = "Tones in density, with their standard uncertainty\n";
  text += table_row("", "plate", {"floor", "mid-tone", "highlight", "range", "fog"}, "state");
  for (std::size_t i = 0; i < plates.size(); ++i) {
    const PlateScore& plate = plates[i];
    const Tones tones = plate.tones.value_or(Tones{});
    text += table_row(
        fmt::format("{}", i + 1), name_of_plate(plate),
        {value_or_dash(tones.floor_density), value_or_dash(tones.midtone_density),
         value_or_dash(tones.highlight_density), value_or_dash(tones.range), value_or_dash(tones.fog)},
        plate.recommendation ? words::diagnosis(plate.recommendation->diagnosis) : "not measured");
  }
  return text;
}

std::string change_line(std::span<const PlateScore> plates, const PlateChange& change) {
  std::string text = fmt::format("  {} to {}: ", change.from + 1, change.to + 1);
  if (change.exposure_difference_stops) {
    text +=
        fmt::format("same scene, {} of light (\u00b1{:.1f})",
                    stops_text(change.exposure_difference_stops->value), change.exposure_difference_stops->u);
  } else if (!plates[change.from].density || !plates[change.to].density) {
    text += "not aligned: only the numbers of these plates were at hand";
  } else {
    text += change.same_scene ? "same scene, exposure not comparable"
                              : "could not be aligned: not the same scene";
  }
  if (change.fog_change) text += fmt::format("; fog {}", difference_text(change.fog_change));
  if (change.highlight_change)
    text += fmt::format("; highlight {}", difference_text(change.highlight_change));
  if (!change.faults_appeared.empty()) text += "; new marks: " + kinds_text(change.faults_appeared);
  if (!change.faults_gone.empty()) text += "; gone: " + kinds_text(change.faults_gone);
  return text + "\n";
}

std::string drift_lines(const Drift& drift) {
  std::string text =
      fmt::format("  {}: centre {}, limits {} to {}", drift.quantity, density_text(drift.limits.centre),
                  density_text(drift.limits.lower()), density_text(drift.limits.upper()));
  for (const ChartSignal& signal : drift.signals) {
    text += fmt::format("; plate {}: {}", signal.index + 1, words::chart_rule(signal.rule));
  }
  return text + "\n";
}

std::string advice_line(const AdviceOutcome& outcome) {
  std::string text = fmt::format("  after {}: proposed {} of light ({} to {})", outcome.from + 1,
                                 stops_text(outcome.exposure.change), stops_text(outcome.exposure.low),
                                 stops_text(outcome.exposure.high));
  if (!outcome.done_stops)
    return text + "; the times of both plates were not noted, so no more can be said\n";
  text += fmt::format("; done {}", stops_text(*outcome.done_stops));
  if (outcome.light_stops) text += fmt::format(", the light changed by {}", stops_text(*outcome.light_stops));
  if (outcome.needed_stops) {
    text += fmt::format("; as plate {} tells, {} (\u00b1{:.1f}) was needed: {}", outcome.to + 1,
                        stops_text(outcome.needed_stops->value), outcome.needed_stops->u,
                        *outcome.within ? "within what was given" : "outside what was given");
  }
  if (outcome.done_percent) {
    text += fmt::format("; development proposed {}, done {}", percent_text(outcome.development.change),
                        percent_text(*outcome.done_percent));
  }
  return text + "\n";
}

}  // namespace

std::string series_text(std::span<const PlateScore> plates, const SeriesComparison& comparison) {
  std::string text = tone_table(plates);
  text += "\nFrom plate to plate (density, later minus earlier)\n";
  for (const PlateChange& change : comparison.changes) text += change_line(plates, change);
  if (!comparison.advice.empty()) {
    text += "\nPredicted against happened\n";
    for (const AdviceOutcome& outcome : comparison.advice) text += advice_line(outcome);
  }
  if (!comparison.drift.empty()) {
    text += "\nDrift over the series\n";
    for (const Drift& drift : comparison.drift) text += drift_lines(drift);
  }
  if (!plates.empty())
    text += fmt::format("\n{}: {}\n", words::kNextPlate, next_plate_sentence(plates.back()));
  return text;
}

}  // namespace platewise
