#include "row_bands.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

constexpr double kPitchMinPx = 5.0;

struct BandRun {
  StepRun run;
  int top = 0;
  int bottom = 0;
};

std::vector<BandRun> runs_of_bands(const cv::Mat& picture, int count) {
  constexpr int kBands = 40;
  const int height = std::max(4, picture.rows / kBands);
  constexpr double kFewerThanListed =
      0.6;  // a wedge of fewer steps than listed is found too, and refused later
  const double pitch_max = 1.03 * picture.cols / std::max(4.0, kFewerThanListed * count);
  std::vector<BandRun> runs;
  for (int top = 0; top + height <= picture.rows; top += height) {
    runs.push_back(
        {clearest_run(mean_of_rows(picture, top, top + height), kPitchMinPx, pitch_max), top, top + height});
  }
  return runs;
}

// The same patches: equal pitch, borders on the same comb, overlapping reach.
bool agree(const StepRun& a, const StepRun& b) {
  if (a.patches == 0 || b.patches == 0) return false;
  if (std::abs(a.pitch_px / b.pitch_px - 1.0) > 0.04) return false;
  const double middle_a = a.start_px + 0.5 * a.patches * a.pitch_px;
  const double middle_b = b.start_px + 0.5 * b.patches * b.pitch_px;
  if (std::abs(middle_a - middle_b) > 0.4 * std::max(a.patches, b.patches) * a.pitch_px) return false;
  const int middle_patch = b.patches / 2;
  const double offset =
      std::remainder(b.start_px - a.start_px + middle_patch * (b.pitch_px - a.pitch_px), a.pitch_px);
  return std::abs(offset) < 0.3 * a.pitch_px;
}

// The run that most bands share, and the stretch of bands (gaps of two allowed: numbers, scratches) round it.
Consensus consensus_of(const std::vector<BandRun>& runs, int count) {
  constexpr double kAlone = 0.5;
  constexpr int kBackground = 2;  // patches of background that may go on with the row
  Consensus best;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    if (runs[i].run.patches == 0 || runs[i].run.score * static_cast<double>(runs.size()) < best.score)
      continue;
    Consensus here{0.0, runs[i].run, runs[i].top, runs[i].bottom};
    for (const int step : {-1, 1}) {
      int gap = 0;
      for (auto j = static_cast<long>(i) + step; j >= 0 && j < static_cast<long>(runs.size()) && gap <= 2;
           j += step) {
        const BandRun& other = runs[static_cast<std::size_t>(j)];
        if (!agree(runs[i].run, other.run)) {
          ++gap;
          continue;
        }
        gap = 0;
        here.score += other.run.score;
        here.top = std::min(here.top, other.top);
        here.bottom = std::max(here.bottom, other.bottom);
      }
    }
    // One band alone may be chance; a tall row with clear borders is not. More patches than the wedge has
    // speak for something else that gets darker in steps.
    const bool alone = here.score == 0.0;
    here.score = runs[i].run.score * std::sqrt(1.0 + here.score / std::max(1e-9, runs[i].run.score));
    if (alone) here.score *= kAlone;
    here.score *= std::min(1.0, static_cast<double>(count + kBackground) / runs[i].run.patches);
    if (here.score > best.score) best = here;
  }
  return best;
}

}  // namespace

std::vector<double> mean_of_rows(const cv::Mat& picture, int from, int to) {
  cv::Mat mean;
  cv::reduce(picture.rowRange(from, to), mean, 0, cv::REDUCE_AVG, CV_32F);  // NaN where any is
  std::vector<double> values(static_cast<std::size_t>(picture.cols));
  for (int x = 0; x < picture.cols; ++x) values[static_cast<std::size_t>(x)] = mean.at<float>(0, x);
  return values;
}

Consensus run_shared_by_bands(const cv::Mat& log_light, int count) {
  return consensus_of(runs_of_bands(log_light, count), count);
}

}  // namespace platewise
