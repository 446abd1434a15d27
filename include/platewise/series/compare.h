#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "platewise/core/geometry.h"
#include "platewise/core/quantity.h"
#include "platewise/pipeline/plate_score.h"
#include "platewise/stats/control_chart.h"

namespace platewise {

// What changed from one plate of a series to the next. Differences are `to` minus `from`; positive exposure
// means that `to` received more light.
struct PlateChange {
  std::size_t from = 0;  // index in the series
  std::size_t to = 0;
  std::optional<Quantity> exposure_difference_stops;  // only where the same scene was found in both
  std::optional<Quantity> fog_change;
  std::optional<Quantity> highlight_change;
  std::vector<std::string> faults_appeared;  // ids, one entry a fault more of that kind
  std::vector<std::string> faults_gone;
  bool same_scene = false;
  std::optional<Homography> to_from_from;  // plate units to plate units, where the same scene was found
};

// One measured quantity over the series with its control limits and what they say.
struct Drift {
  std::string quantity;
  ChartLimits limits;
  std::vector<double> points;
  std::vector<ChartSignal> signals;
};

// What was proposed after a plate, what was then done, and what came of it on the next one: seen from the
// next plate, the right change was what was done less what that plate is still off by.
struct AdviceOutcome {
  std::size_t from = 0;  // index of the plate the advice was given on
  std::size_t to = 0;
  Change exposure;                       // as proposed, stops
  Change development;                    // as proposed, percent
  std::optional<double> done_stops;      // from the noted times and apertures of both
  std::optional<double> done_percent;    // of development
  std::optional<double> light_stops;     // change of light by the meter or the notes, where both plates tell
  std::optional<Quantity> needed_stops;  // as the next plate tells, for the light of the plate before
  std::optional<bool> within;            // of the interval that was given
  std::optional<Quantity> predicted_error_stops;  // of the next plate, after what was done
  std::optional<Quantity> happened_error_stops;   // plus: got too much
};

struct SeriesComparison {
  std::vector<PlateChange> changes;
  std::vector<AdviceOutcome> advice;  // for each plate with advice that another came after
  std::vector<Drift> drift;           // of what at least kDriftLeastPlates plates have
};

// Limits from fewer plates than this say nothing.
inline constexpr std::size_t kDriftLeastPlates = 5;

// Compares each plate with the one before it. Exposure difference: median difference of image silver over the
// common mid-tones, divided by gamma x 0.301 (Hurter & Driffield 1890), with the gamma of the photographer's
// curve or 1.2 +- 0.25 (positives), 1.3 +- 0.3 (negatives; common practice); a change of the veil is taken
// out first. Plates without a picture (read back from a logbook) are compared by their numbers only.
[[nodiscard]] SeriesComparison compare(std::span<const PlateScore> plates);

}  // namespace platewise
