#include "step_row.h"

#include <algorithm>
#include <limits>

#include "platewise/stats/robust.h"
#include "row_bands.h"
#include "row_directions.h"
#include "row_refining.h"

namespace platewise {
namespace {

// A border counts at most 3 (clearness 4, cost 1): patches that lie in noise reach less than half of that.
constexpr double kLeastMeanBorder = 1.2;

double mean_border(const StepRun& run) {
  return run.patches < 2 ? 0.0 : run.score / (run.patches - 1);
}

bool clear_beyond_doubt(const StepRun& run, int count) {
  constexpr double kClear = 2.0;
  return mean_border(run) > kClear && 10 * run.patches > 6 * count;
}

}  // namespace

std::vector<double> middle_profile(const StepRow& row) {
  constexpr double kMiddleShare = 0.7;
  const double centre = 0.5 * (row.top + row.bottom);
  const double half = 0.5 * kMiddleShare * (row.bottom - row.top);
  const int from = std::clamp(static_cast<int>(centre - half), 0, row.turned.rows - 1);
  const int to = std::clamp(static_cast<int>(centre + half) + 1, from + 1, row.turned.rows);
  std::vector<double> profile;
  std::vector<double> column;
  for (int x = 0; x < row.turned.cols; ++x) {
    column.clear();
    for (int y = from; y < to; ++y) {
      const float value = row.turned.at<float>(y, x);
      if (std::isfinite(value)) column.push_back(value);
    }
    const bool enough = 2 * column.size() > static_cast<std::size_t>(to - from);
    profile.push_back(enough ? median(column) : std::numeric_limits<double>::quiet_NaN());
  }
  return profile;
}

std::optional<StepRow> find_step_row(const cv::Mat& log_light, int count) {
  std::optional<StepRow> best;
  Consensus best_consensus;
  double best_angle = 0.0;
  for (const double direction : edge_directions_deg(log_light)) {
    for (const double quarter : {0.0, 90.0, 180.0, 270.0}) {
      StepRow row = turned_by(log_light, direction + quarter);
      const Consensus consensus = run_shared_by_bands(row.turned, count);
      if (consensus.score <= best_consensus.score) continue;
      best_consensus = consensus;
      best_angle = direction + quarter;
      row.top = consensus.top;
      row.bottom = consensus.bottom;
      best = row;
    }
    if (clear_beyond_doubt(best_consensus.run, count)) break;
  }
  if (!best || mean_border(best_consensus.run) < kLeastMeanBorder) return std::nullopt;
  straighten(*best, best_consensus.run, log_light, best_angle);
  refine_borders(*best, best_consensus.run);
  refine_height(*best);
  refine_borders(*best, best_consensus.run);
  return best;
}

}  // namespace platewise
