#include "step_row.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "platewise/raster/sampling.h"
#include "platewise/stats/least_squares.h"
#include "platewise/stats/robust.h"
#include "step_run.h"

namespace platewise {
namespace {

constexpr double kPitchMinPx = 5.0;
constexpr double kQuarterTurn = 90.0;

// Directions of the edges in the picture, modulo a quarter turn: the patches have edges along and across.
std::vector<double> edge_directions_deg(const cv::Mat& log_light) {
  cv::Mat smooth;
  cv::GaussianBlur(log_light, smooth, {}, 1.2);
  cv::Mat dx;
  cv::Mat dy;
  cv::Sobel(smooth, dx, CV_32F, 1, 0);
  cv::Sobel(smooth, dy, CV_32F, 0, 1);
  constexpr int kBins = 180;     // half degrees
  constexpr float kClip = 0.5F;  // strong outer borders must not hide the steps
  std::vector<double> histogram(kBins, 0.0);
  for (int y = 0; y < dx.rows; ++y) {
    for (int x = 0; x < dx.cols; ++x) {
      const float gx = dx.at<float>(y, x);
      const float gy = dy.at<float>(y, x);
      const float size = std::hypot(gx, gy);
      if (size < 0.02F) continue;
      const double angle = std::atan2(gy, gx) * 180.0 / std::numbers::pi + 360.0;
      const auto bin =
          static_cast<std::size_t>(std::fmod(angle, kQuarterTurn) * kBins / kQuarterTurn) % kBins;
      histogram[bin] += std::min(size, kClip);
    }
  }
  const auto smoothed = [&](int bin) {
    double sum = 0.0;
    for (int d = -2; d <= 2; ++d)
      sum += (3 - std::abs(d)) * histogram[static_cast<std::size_t>((bin + d + kBins) % kBins)];
    return sum;
  };
  std::vector<double> directions;
  std::vector<double> rest(kBins);
  for (int bin = 0; bin < kBins; ++bin) rest[static_cast<std::size_t>(bin)] = smoothed(bin);
  constexpr int kPeaks = 3;
  for (int peak = 0; peak < kPeaks; ++peak) {
    const auto at = static_cast<int>(std::max_element(rest.begin(), rest.end()) - rest.begin());
    if (rest[static_cast<std::size_t>(at)] <= 0.0) break;
    // Centroid of the peak, to a tenth of a degree.
    double weight = 0.0;
    double mean = 0.0;
    for (int d = -3; d <= 3; ++d) {
      const double h = histogram[static_cast<std::size_t>((at + d + kBins) % kBins)];
      weight += h;
      mean += h * (at + d + 0.5) * kQuarterTurn / kBins;
    }
    if (weight > 0.0) directions.push_back(std::remainder(mean / weight, kQuarterTurn));
    for (int d = -10; d <= 10; ++d) rest[static_cast<std::size_t>((at + d + kBins) % kBins)] = 0.0;
  }
  return directions;
}

// Turns the picture by `angle` about its centre into a frame that holds all of it.
StepRow turned_by(const cv::Mat& log_light, double angle_deg) {
  const double angle = angle_deg * std::numbers::pi / 180.0;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  const double w = log_light.cols;
  const double h = log_light.rows;
  const int width = static_cast<int>(std::ceil(std::abs(c) * w + std::abs(s) * h - 1e-6));
  const int height = static_cast<int>(std::ceil(std::abs(s) * w + std::abs(c) * h - 1e-6));
  StepRow row;
  row.source_from_turned << c, -s, w / 2 - c * width / 2 + s * height / 2, s, c,
      h / 2 - s * width / 2 - c * height / 2, 0, 0, 1;
  Homography map;
  map.matrix = row.source_from_turned;
  row.turned = resampled(log_light, map, width, height);
  return row;
}

std::vector<double> mean_of_rows(const cv::Mat& picture, int from, int to) {
  cv::Mat mean;
  cv::reduce(picture.rowRange(from, to), mean, 0, cv::REDUCE_AVG, CV_32F);  // NaN where any is
  std::vector<double> values(static_cast<std::size_t>(picture.cols));
  for (int x = 0; x < picture.cols; ++x) values[static_cast<std::size_t>(x)] = mean.at<float>(0, x);
  return values;
}

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
  const double offset =
      std::remainder(b.start_px - a.start_px + b.patches / 2 * (b.pitch_px - a.pitch_px), a.pitch_px);
  return std::abs(offset) < 0.3 * a.pitch_px;
}

struct Consensus {
  double score = 0.0;
  StepRun run;
  int top = 0;
  int bottom = 0;
};

// The run that most bands share, and the stretch of bands (gaps of two allowed: numbers, scratches) round it.
Consensus consensus_of(const std::vector<BandRun>& runs) {
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
    // One band alone may be chance; a tall row with clear borders is not.
    here.score = runs[i].run.score * std::sqrt(1.0 + here.score / std::max(1e-9, runs[i].run.score));
    if (here.score > best.score) best = here;
  }
  return best;
}

double mean_between(const std::vector<double>& profile, double from, double to) {
  double sum = 0.0;
  double count = 0.0;
  for (long x = std::max(0L, std::lround(from));
       x < std::min<long>(static_cast<long>(profile.size()), std::lround(to)); ++x) {
    const double value = profile[static_cast<std::size_t>(x)];
    if (!std::isfinite(value)) continue;
    sum += value;
    count += 1.0;
  }
  return count > 0.0 ? sum / count : std::numeric_limits<double>::quiet_NaN();
}

// Where near `expected` the profile falls most between windows on either side.
struct Edge1d {
  double at = 0.0;
  double fall = 0.0;
};
Edge1d sharpest_fall(const std::vector<double>& profile, double expected, double pitch) {
  const double reach = 0.3 * pitch;
  const double window = std::max(1.0, 0.3 * pitch);
  Edge1d best{expected, -1e9};
  for (double at = expected - reach; at <= expected + reach; at += 0.5) {
    const double fall = mean_between(profile, at - window, at) - mean_between(profile, at, at + window);
    if (std::isfinite(fall) && fall > best.fall) best = {at, fall};
  }
  return best;
}

// Borders of the patches that are told apart, refined one by one, and the smooth comb through them.
void refine_borders(StepRow& row, const StepRun& run) {
  const std::vector<double> profile = middle_profile(row);
  const int inner = run.patches - 1;
  std::vector<double> at;
  std::vector<double> weight;
  for (int k = 1; k <= inner; ++k) {
    const Edge1d edge = sharpest_fall(profile, run.start_px + k * run.pitch_px, run.pitch_px);
    at.push_back(edge.at);
    weight.push_back(edge.fall > 0.01 ? 1.0 : 0.05);
  }
  // Straight comb first, bent by perspective only when many borders say so; borders off the comb count less.
  const bool bent = inner >= 12;
  const Eigen::Index columns = bent ? 3 : 2;
  Eigen::VectorXd c(columns);
  c << Eigen::Vector2d(run.start_px, run.pitch_px), Eigen::VectorXd::Zero(columns - 2);
  for (int round = 0; round < 4; ++round) {
    Eigen::MatrixXd design(inner, columns);
    Eigen::VectorXd observed(inner);
    for (int i = 0; i < inner; ++i) {
      const double k = i + 1;
      const double predicted = c(0) + c(1) * k + (bent ? c(2) * k * k : 0.0);
      const double off = (at[static_cast<std::size_t>(i)] - predicted) / std::max(1.0, 0.08 * run.pitch_px);
      const double w = weight[static_cast<std::size_t>(i)] / (1.0 + off * off);
      design(i, 0) = w;
      design(i, 1) = w * k;
      if (bent) design(i, 2) = w * k * k;
      observed(i) = w * at[static_cast<std::size_t>(i)];
    }
    const auto fit = linear_fit(design, observed);
    if (!fit) break;
    c = fit->parameters;
  }
  row.border_curve << c(0), c(1), bent ? c(2) : 0.0;
  row.borders.clear();
  for (int k = 0; k <= run.patches; ++k) row.borders.push_back(row.border(k));
  row.pitch = (row.borders.back() - row.borders.front()) / run.patches;
}

// How far up and down the patches keep their values: rows whose patch means follow those of the middle.
void refine_height(StepRow& row) {
  const std::vector<double> profile = middle_profile(row);
  std::vector<double> middle;
  std::vector<double> falls;
  for (int k = 0; k < row.patches(); ++k) {
    const double a = row.borders[static_cast<std::size_t>(k)];
    const double b = row.borders[static_cast<std::size_t>(k) + 1];
    middle.push_back(mean_between(profile, a + 0.2 * (b - a), b - 0.2 * (b - a)));
    if (k > 0) falls.push_back(middle[static_cast<std::size_t>(k) - 1] - middle.back());
  }
  const double tolerance = std::max(0.03, 0.5 * median(falls));
  const auto follows = [&](int y) {
    const std::vector<double> line = mean_of_rows(row.turned, y, y + 1);
    int good = 0;
    for (int k = 0; k < row.patches(); ++k) {
      const double a = row.borders[static_cast<std::size_t>(k)];
      const double b = row.borders[static_cast<std::size_t>(k) + 1];
      const double mean = mean_between(line, a + 0.2 * (b - a), b - 0.2 * (b - a));
      good += std::abs(mean - middle[static_cast<std::size_t>(k)]) < tolerance;
    }
    return 10 * good >= 6 * row.patches();
  };
  const int centre = std::clamp(static_cast<int>(0.5 * (row.top + row.bottom)), 0, row.turned.rows - 1);
  const int gap_max = std::max(3, static_cast<int>(0.25 * (row.bottom - row.top)));
  for (const int step : {-1, 1}) {
    int gap = 0;
    int last = centre;
    for (int y = centre; y >= 0 && y < row.turned.rows && gap <= gap_max; y += step) {
      if (follows(y)) {
        last = y;
        gap = 0;
      } else {
        ++gap;
      }
    }
    (step < 0 ? row.top : row.bottom) = step < 0 ? last : last + 1;
  }
}

// A border counts at most 3 (clearness 4, cost 1): patches that lie in noise reach less than half of that.
constexpr double kLeastMeanBorder = 1.2;

double mean_border(const StepRun& run) {
  return run.patches < 2 ? 0.0 : run.score / (run.patches - 1);
}

bool clear_beyond_doubt(const StepRun& run, int count) {
  constexpr double kClear = 2.0;
  return mean_border(run) > kClear && 10 * run.patches > 6 * count;
}

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

// Turns the row so that its borders stand upright: at the right angle their mean over the whole height is
// sharpest.
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
      const Consensus consensus = consensus_of(runs_of_bands(row.turned, count));
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
