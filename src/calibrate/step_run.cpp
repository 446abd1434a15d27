#include "step_run.h"

#include <algorithm>
#include <cmath>

namespace platewise {
namespace {

constexpr double kCoreShare = 0.6;       // middle of a patch that is averaged: borders lie outside
constexpr double kFloorScatter = 0.004;  // log light: steps closer than a few of these are not told apart
constexpr double kClearEnough = 4.0;     // a border counts no more than this, however clear
constexpr double kCost = 1.0;            // of every border, so that a run ends where there are none
constexpr double kPitchStep = 1.02;
constexpr int kPhases = 8;
constexpr int kPatchesMin = 4;

struct Sums {
  std::vector<double> value;
  std::vector<double> square;
  std::vector<int> missing;

  explicit Sums(const std::vector<double>& values)
      : value(values.size() + 1), square(values.size() + 1), missing(values.size() + 1) {
    for (std::size_t i = 0; i < values.size(); ++i) {
      const bool there = std::isfinite(values[i]);
      const double v = there ? values[i] : 0.0;
      value[i + 1] = value[i] + v;
      square[i + 1] = square[i] + v * v;
      missing[i + 1] = missing[i] + !there;
    }
  }
};

struct Core {
  double mean = 0.0;
  double scatter = 0.0;
  bool whole = false;
};

// Core of the patch round each pixel border position.
std::vector<Core> cores(const Sums& sums, double pitch) {
  const auto length = static_cast<long>(sums.value.size()) - 1;
  const long half = std::max(1L, std::lround(0.5 * kCoreShare * pitch));
  std::vector<Core> result(static_cast<std::size_t>(length + 1));
  for (long centre = half; centre + half <= length; ++centre) {
    const auto from = static_cast<std::size_t>(centre - half);
    const auto to = static_cast<std::size_t>(centre + half);
    if (sums.missing[to] != sums.missing[from]) continue;
    const double count = static_cast<double>(2 * half);
    const double mean = (sums.value[to] - sums.value[from]) / count;
    const double variance = (sums.square[to] - sums.square[from]) / count - mean * mean;
    result[static_cast<std::size_t>(centre)] = {mean, std::sqrt(std::max(0.0, variance)), true};
  }
  return result;
}

double border_score(const Core& left, const Core& right) {
  if (!left.whole || !right.whole) return -1e9;
  const double clearness = (left.mean - right.mean) / (left.scatter + right.scatter + kFloorScatter);
  return std::clamp(clearness, -kClearEnough, kClearEnough) - kCost;
}

// Best contiguous stretch of borders along one comb of patches (Kadane's scan).
void scan_comb(const std::vector<Core>& all, double pitch, double phase, StepRun& best) {
  double score = 0.0;
  int first = 0;
  const auto length = static_cast<double>(all.size() - 1);
  const auto core = [&](int k) -> const Core& {
    return all[static_cast<std::size_t>(std::lround(phase + (k + 0.5) * pitch))];
  };
  for (int k = 0; phase + (k + 1.5) * pitch < length; ++k) {
    if (score <= 0.0) {
      score = 0.0;
      first = k;
    }
    score += border_score(core(k), core(k + 1));
    const int patches = k + 2 - first;
    if (score > best.score && patches >= kPatchesMin) {
      best = {score, phase + first * pitch, pitch, patches};
    }
  }
}

}  // namespace

StepRun clearest_run(const std::vector<double>& values, double pitch_min_px, double pitch_max_px) {
  StepRun best;
  if (values.size() < 8) return best;
  const Sums sums(values);
  for (double pitch = pitch_min_px; pitch <= pitch_max_px; pitch *= kPitchStep) {
    const std::vector<Core> all = cores(sums, pitch);
    for (int phase = 0; phase < kPhases; ++phase) {
      scan_comb(all, pitch, pitch * phase / kPhases, best);
    }
  }
  return best;
}

}  // namespace platewise
