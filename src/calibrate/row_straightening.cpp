#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "platewise/raster/sampling.h"
#include "row_directions.h"
#include "row_refining.h"

namespace platewise {
namespace {

// Mean over the row's height along lines that lean by `lean` px per px.
std::vector<double> leaning_profile(const StepRow& row, double lean) {
  const double centre = 0.5 * (row.top + row.bottom);
  const int from = std::clamp(static_cast<int>(row.top), 0, row.turned.rows - 1);
  const int to = std::clamp(static_cast<int>(row.bottom), from + 1, row.turned.rows);
  std::vector<double> sum(static_cast<std::size_t>(row.turned.cols), 0.0);
  for (int y = from; y < to; ++y) {
    const long shift = std::lround(lean * (y + 0.5 - centre));
    for (long x = 0; x < row.turned.cols; ++x) {
      const long at = x + shift;
      const bool inside = at >= 0 && at < row.turned.cols;
      sum[static_cast<std::size_t>(x)] +=
          inside ? static_cast<double>(row.turned.at<float>(y, static_cast<int>(at)))
                 : std::numeric_limits<double>::quiet_NaN();
    }
  }
  for (double& value : sum) value /= to - from;
  return sum;
}

// Steepest fall near each border, summed.
double sharpness(const std::vector<double>& profile, const StepRun& run) {
  double sum = 0.0;
  for (int k = 1; k < run.patches; ++k) {
    const double border = run.start_px + k * run.pitch_px;
    double steepest = 0.0;
    for (long x = std::lround(border - 0.4 * run.pitch_px); x <= std::lround(border + 0.4 * run.pitch_px);
         ++x) {
      if (x < 1 || x + 1 >= static_cast<long>(profile.size())) continue;
      const double fall = profile[static_cast<std::size_t>(x - 1)] - profile[static_cast<std::size_t>(x + 1)];
      if (fall > steepest) steepest = fall;
    }
    sum += steepest;
  }
  return sum;
}

}  // namespace

void straighten(StepRow& row, StepRun& run, const cv::Mat& log_light, double angle_deg) {
  constexpr double kReachDeg = 5.0;
  constexpr double kStepDeg = 0.25;
  double sharpest = 0.0;
  double best_deg = 0.0;
  for (double deg = -kReachDeg; deg <= kReachDeg; deg += kStepDeg) {
    // Looking along lines that lean by +lean is looking at a picture turned by -deg.
    const double lean = -std::tan(deg * std::numbers::pi / 180.0);
    constexpr double kPreferStraight = 0.01;  // per degree: where several angles are alike
    const double here = sharpness(leaning_profile(row, lean), run) * (1.0 - kPreferStraight * std::abs(deg));
    if (here > sharpest) {
      sharpest = here;
      best_deg = deg;
    }
  }
  if (best_deg == 0.0) return;
  const double lean = -std::tan(best_deg * std::numbers::pi / 180.0);
  const StepRun best = clearest_run(leaning_profile(row, lean), 0.97 * run.pitch_px, 1.03 * run.pitch_px);
  if (best.patches == 0) return;
  const Point centre{best.start_px + 0.5 * best.patches * best.pitch_px, 0.5 * (row.top + row.bottom)};
  Homography source_from_turned;
  source_from_turned.matrix = row.source_from_turned;
  const Point in_source = source_from_turned(centre);
  const double half = 0.5 * (row.bottom - row.top);
  row = turned_by(log_light, angle_deg + best_deg);
  source_from_turned.matrix = row.source_from_turned;
  const Point moved = source_from_turned.inverse()(in_source);
  row.top = moved.y - half;
  row.bottom = moved.y + half;
  const double cosine = std::cos(best_deg * std::numbers::pi / 180.0);
  run = best;
  run.pitch_px = best.pitch_px * cosine;
  run.start_px = moved.x - 0.5 * run.patches * run.pitch_px;
}

}  // namespace platewise
