#include "row_refining.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "platewise/stats/least_squares.h"
#include "platewise/stats/robust.h"
#include "row_bands.h"

namespace platewise {
namespace {

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

}  // namespace

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

}  // namespace platewise
