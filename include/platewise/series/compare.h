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

struct SeriesComparison {
  std::vector<PlateChange> changes;
  std::vector<Drift> drift;  // of what at least kDriftLeastPlates plates have
};

// Limits from fewer plates than this say nothing.
inline constexpr std::size_t kDriftLeastPlates = 5;

// Compares each plate with the one before it. Exposure difference: median difference of image silver over the
// common mid-tones, divided by gamma x 0.301 (Hurter & Driffield 1890), with the gamma of the photographer's
// curve or 1.2 +- 0.25 (positives), 1.3 +- 0.3 (negatives; common practice); a change of the veil is taken
// out first.
[[nodiscard]] SeriesComparison compare(std::span<const PlateScore> plates);

}  // namespace platewise
