#include "round_edge.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "plain_step.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kRays = 36;
constexpr std::size_t kFewestRays = 12;
constexpr double kPxPerSample = 0.5;

struct Fall {
  cv::Point2d at;
  double height = 0.0;
  double softness_px = 0.0;
};

// Of the ray's values from the middle outwards, two a pixel.
std::optional<Fall> steepest(const std::vector<float>& values, cv::Point2d from, cv::Point2d along) {
  constexpr std::size_t kOnePx = 2;
  double rise = 0.0;
  std::size_t where = 0;
  for (std::size_t i = kOnePx; i + 4 * kOnePx < values.size(); ++i) {
    const double here = 0.5 * (values[i - kOnePx] - values[i + kOnePx]);
    if (here <= rise) continue;
    rise = here;
    where = i;
  }
  if (where == 0) return std::nullopt;
  double inner = values[0];
  if (where > 2 * kOnePx) {
    inner = 0.0;
    const std::size_t count = where - 2 * kOnePx + 1;
    for (std::size_t i = 0; i < count; ++i) inner += values[i] / static_cast<double>(count);
  }
  double outer = 0.0;
  for (std::size_t i = where + 2 * kOnePx; i <= where + 4 * kOnePx; ++i)
    outer += values[i] / (2.0 * kOnePx + 1.0);
  const double height = inner - outer;
  if (height <= 0.0) return std::nullopt;
  // Between the samples: the top of the parabola through the steepest and its neighbours.
  const auto fall_at = [&](std::size_t i) { return 0.5 * (values[i - kOnePx] - values[i + kOnePx]); };
  double place = static_cast<double>(where);
  if (where > kOnePx && where + kOnePx + 1 < values.size()) {
    const double before = fall_at(where - 1);
    const double after = fall_at(where + 1);
    const double curve = before + after - 2.0 * rise;
    if (curve < 0.0) place += std::clamp(0.5 * (before - after) / curve, -0.5, 0.5);
  }
  return Fall{from + kPxPerSample * place * along, height,
              height / (std::sqrt(2.0 * std::numbers::pi) * rise)};
}

// Least squares of 2 m p + c = p p, with c = r r - m m, about the first point.
void fit_circle(const std::vector<Fall>& falls, RoundEdge& edge) {
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  const cv::Point2d origin = falls.front().at;
  for (const Fall& fall : falls) {
    const cv::Point2d p = fall.at - origin;
    const Eigen::Vector3d row(2.0 * p.x, 2.0 * p.y, 1.0);
    normal += row * row.transpose();
    right += p.dot(p) * row;
  }
  const Eigen::Vector3d answer = normal.ldlt().solve(right);
  const cv::Point2d middle(answer[0], answer[1]);
  edge.middle = origin + middle;
  edge.radius_px = std::sqrt(std::max(0.0, answer[2] + middle.dot(middle)));
  double squares = 0.0;
  for (const Fall& fall : falls) squares += std::pow(cv::norm(fall.at - edge.middle) - edge.radius_px, 2.0);
  edge.uneven_px = std::sqrt(squares / static_cast<double>(falls.size()));
}

// Where a tail leaves the spot the steepest fall is elsewhere.
void drop_stray(std::vector<Fall>& falls, RoundEdge& edge) {
  constexpr double kNearPx = 0.35;
  constexpr double kNearRadii = 0.05;
  const std::size_t fewest = std::max<std::size_t>(kFewestRays, falls.size() / 2);
  while (falls.size() > fewest) {
    const auto off = [&](const Fall& fall) {
      return std::abs(cv::norm(fall.at - edge.middle) - edge.radius_px);
    };
    const auto worst = std::max_element(falls.begin(), falls.end(),
                                        [&](const Fall& a, const Fall& b) { return off(a) < off(b); });
    if (off(*worst) < kNearPx + kNearRadii * edge.radius_px) return;
    falls.erase(worst);
    fit_circle(falls, edge);
  }
}

}  // namespace

std::optional<RoundEdge> round_edge(const cv::Mat& silver, cv::Point2d at, double radius_px, int sign) {
  const int samples = static_cast<int>((2.2 * radius_px + 7.0) / kPxPerSample);
  const double reach = samples * kPxPerSample + 2.0;
  if (at.x < reach || at.y < reach || at.x > silver.cols - reach || at.y > silver.rows - reach)
    return std::nullopt;
  std::vector<Fall> falls;
  std::vector<double> heights;
  std::vector<double> softness;
  std::vector<float> values(static_cast<std::size_t>(samples));
  for (int t = 0; t < kRays; ++t) {
    const double turn = 2.0 * std::numbers::pi * t / kRays;
    const cv::Point2d along(std::cos(turn), std::sin(turn));
    for (int i = 0; i < samples; ++i) {
      const cv::Point2d p = at + i * kPxPerSample * along;
      values[static_cast<std::size_t>(i)] = static_cast<float>(sign) * between_pixels(silver, p.x, p.y);
    }
    if (const auto fall = steepest(values, at, along)) falls.push_back(*fall);
  }
  if (3 * falls.size() < 2 * kRays) return std::nullopt;
  RoundEdge edge;
  heights.reserve(falls.size());
  for (const Fall& fall : falls) heights.push_back(fall.height);
  edge.contrast = median(heights);
  std::erase_if(falls, [&](const Fall& fall) { return fall.height < edge.contrast / 3.0; });
  if (falls.size() < kFewestRays) return std::nullopt;
  fit_circle(falls, edge);
  drop_stray(falls, edge);
  softness.reserve(falls.size());
  for (const Fall& fall : falls) softness.push_back(fall.softness_px);
  edge.softness_px = median(softness);
  edge.agreeing = static_cast<double>(falls.size()) / kRays;
  return edge;
}

}  // namespace platewise
