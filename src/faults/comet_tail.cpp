#include "comet_tail.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "plain_step.h"

namespace platewise {
namespace {

constexpr int kTurns = 96;
constexpr double kTurn = 2.0 * std::numbers::pi / kTurns;
constexpr std::array kBendsPerUnit{-0.02, -0.01, 0.0, 0.01, 0.02};
constexpr int kMostSteps = 40;
constexpr double kMostUnits = 20.0;
constexpr double kLeastUnits = 1.5;
constexpr double kFlankWidths = 3.0;  // of the smoothing
constexpr double kMostPerStep = 2.5;
constexpr double kLeastPerStep = -2.0;
constexpr double kExpected = 0.6;  // what a step must give for the line to go on
constexpr double kFromRadii = 1.6;

}  // namespace

CometFan::CometFan(const CometHead& head, const Evidence& evidence, const cv::Mat& smooth, double width_px)
    : px_per_unit_(evidence.px_per_unit),
      step_px_(std::max(1.0, 1.5 * width_px)),
      flank_px_(kFlankWidths * width_px + 1.0),
      first_px_(kFromRadii * head.radius_px + 1.0),
      steps_(std::min(kMostSteps, static_cast<int>((kMostUnits * px_per_unit_ - first_px_) / step_px_))) {
  if (steps_ < 4) return;
  fill(head, evidence, smooth);
  // Of a mean over the width less two flanks.
  measure_scatter(1.22 * evidence.grain / (2.0 * std::sqrt(std::numbers::pi) * width_px));
}

void CometFan::fill(const CometHead& head, const Evidence& evidence, const cv::Mat& smooth) {
  one_ = cv::Mat(steps_, kTurns, CV_32FC1, cv::Scalar(std::numeric_limits<float>::quiet_NaN()));
  two_ = one_.clone();
  const cv::Rect2d box(1, 1, smooth.cols - 3, smooth.rows - 3);
  for (int t = 0; t < kTurns; ++t) {
    const cv::Point2d along(std::cos(kTurn * t), std::sin(kTurn * t));
    const cv::Point2d across(-flank_px_ * along.y, flank_px_ * along.x);
    for (int i = 0; i < steps_; ++i) {
      const cv::Point2d p = cv::Point2d(head.at) + (first_px_ + i * step_px_) * along;
      if (!box.contains(p) || !box.contains(p + across) || !box.contains(p - across)) break;
      if (evidence.film.inside.at<std::uint8_t>(static_cast<int>(p.y), static_cast<int>(p.x)) == 0) break;
      const float here = between_pixels(smooth, p.x, p.y);
      one_.at<float>(i, t) = here - between_pixels(smooth, p.x + across.x, p.y + across.y);
      two_.at<float>(i, t) = here - between_pixels(smooth, p.x - across.x, p.y - across.y);
    }
  }
}

void CometFan::measure_scatter(double least) {
  std::vector<float> near;
  for (int i = 0; i < steps_; ++i) {
    near.clear();
    for (int k = std::max(0, i - 1); k <= std::min(steps_ - 1, i + 1); ++k) {
      for (int t = 0; t < kTurns; t += 2) {
        const float c = 0.5F * std::abs(one_.at<float>(k, t) + two_.at<float>(k, t));
        if (c == c) near.push_back(c);
      }
    }
    double s = least;
    if (!near.empty()) {
      const auto middle = near.begin() + static_cast<std::ptrdiff_t>(near.size() / 2);
      std::nth_element(near.begin(), middle, near.end());
      s = std::max(s, 1.48 * static_cast<double>(*middle));
    }
    scatter_.push_back(s);
  }
}

CometFan::Step CometFan::at(int i, double turn, double bend) const {
  const double u = first_px_ + i * step_px_;
  const double place = (turn + bend * u) / kTurn + kTurns;  // a whole turn more: never negative
  const int whole = static_cast<int>(place);
  const int left = whole % kTurns;
  const int right = left + 1 < kTurns ? left + 1 : 0;
  const double share = place - whole;
  const double a = (1.0 - share) * one_.at<float>(i, left) + share * one_.at<float>(i, right);
  const double b = (1.0 - share) * two_.at<float>(i, left) + share * two_.at<float>(i, right);
  return {0.5 * (a + b), a != a || b != b ? std::numeric_limits<double>::quiet_NaN() : std::min(a, b)};
}

CometFan::Ray CometFan::ray(double turn, double bend) const {
  Ray ray{.turn = turn, .bend = bend};
  double sum = 0.0;
  for (int i = 0; i < steps_; ++i) {
    const Step step = at(i, turn, bend);
    if (std::isnan(step.least)) break;
    double z = std::clamp(step.contrast / scatter_[static_cast<std::size_t>(i)], kLeastPerStep, kMostPerStep);
    if (step.least <= 0.0) z = std::min(z, 0.0);
    sum += z - kExpected;
    if (sum > ray.score) {
      ray.score = sum;
      ray.steps = i + 1;
    }
    if (sum < ray.score - 6.0 || sum < -4.0) break;
  }
  return ray;
}

double CometFan::mean(const Ray& ray, int from, int to) const {
  double sum = 0.0;
  int n = 0;
  for (int i = from; i < std::min(to, steps_); ++i) {
    const Step step = at(i, ray.turn, ray.bend);
    if (std::isnan(step.least)) continue;
    sum += step.contrast;
    ++n;
  }
  return n > 0 ? sum / n : 0.0;
}

// Beyond a line's end a few steps agree by chance: they would make an even line look as if it faded.
int CometFan::without_what_chance_adds(const Ray& ray) const {
  constexpr double kStillThere = 0.2;
  constexpr int kTogether = 3;
  const double near = mean(ray, 0, std::max(1, ray.steps / 3));
  int steps = ray.steps;
  while (steps > kTogether && mean(ray, steps - kTogether, steps) < kStillThere * near) --steps;
  return steps;
}

CometTail CometFan::tail() const {
  CometTail tail;
  if (steps_ < 4) return tail;
  std::vector<Ray> rays;
  Ray best;
  for (int t = 0; t < kTurns; ++t) {
    Ray here;
    for (const double bend : kBendsPerUnit) {
      const Ray one = ray(kTurn * t, bend / px_per_unit_);
      if (one.score > here.score) here = one;
    }
    if (here.score > best.score) best = here;
    if (here.steps > 0) rays.push_back(here);
  }
  if (best.steps == 0) return tail;
  const Ray coarse = best;
  for (double turn = -0.048; turn <= 0.0481; turn += 0.016)
    for (double bend = -0.006; bend <= 0.0061; bend += 0.003) {
      const Ray one = ray(coarse.turn + turn, coarse.bend + bend / px_per_unit_);
      if (one.score > best.score) best = one;
    }
  best.steps = without_what_chance_adds(best);
  const double length = first_px_ + (best.steps - 0.5) * step_px_;
  if (length < kLeastUnits * px_per_unit_) return tail;
  tail = {best.score, 0.0, 0.0, best.turn, best.bend, length, best.steps};
  for (const Ray& other : rays) {
    const double off = std::abs(std::remainder(other.turn - best.turn, 2.0 * std::numbers::pi));
    if (off > std::numbers::pi - 0.6) tail.opposite = std::max(tail.opposite, other.score);
    if (off > 0.7) tail.other = std::max(tail.other, other.score);
  }
  const int third = std::max(1, best.steps / 3);
  tail.near = mean(best, 0, third);
  tail.far = mean(best, best.steps - third, best.steps);
  tail.beyond = mean(best, best.steps + 1, best.steps + 1 + third);
  int agreeing = 0;
  for (int i = 0; i < best.steps; ++i) agreeing += at(i, best.turn, best.bend).least > 0.0;
  tail.agreeing = static_cast<double>(agreeing) / best.steps;
  return tail;
}

}  // namespace platewise
