#include "comet_tail.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "platewise/stats/random.h"

namespace platewise {
namespace {

constexpr int kDirections = 72;
constexpr std::array kLengthsUnits{2.5, 5.0, 9.0};     // handbook: tail 2-20 mm
constexpr std::array kWidthsUnits{0.3, 0.6, 1.2};      // where it leaves the head; handbook: head 0.2-2 mm
constexpr std::array kBendsPerUnit{-0.03, 0.0, 0.03};  // the run of the collodion turns a little
constexpr double kNarrowestPerHead = 0.5;
constexpr double kWidestPerHead = 2.0;
constexpr int kBackgroundPlaces = 300;
constexpr double kLowShare = 0.10;
constexpr double kHighShare = 0.01;
constexpr double kLargestLog10Nfa = -4.0;  // tails of chance are extrapolated far: stay well below
constexpr double kMostTwoSided = 0.5;

double upper_quantile(std::vector<double>& values, double share) {
  const auto at = static_cast<std::size_t>((1.0 - share) * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(at), values.end());
  return std::max(values[at], 1e-6);
}

cv::Point2d direction_at(int index) {
  const double angle = 2.0 * std::numbers::pi * index / kDirections;
  return {std::cos(angle), std::sin(angle)};
}

}  // namespace

TailBackground::TailBackground(const Evidence& evidence) : evidence_(&evidence) {
  for (const double length : kLengthsUnits)
    for (const double width : kWidthsUnits)
      if (3.0 * width <= length)
        add_scale({.length_px = length * evidence.px_per_unit,
                   .width_px = std::max(2.0, width * evidence.px_per_unit)});
}

void TailBackground::add_scale(Scale scale) {
  const Evidence& evidence = *evidence_;
  Random random(static_cast<std::uint64_t>(std::lround(100.0 * scale.length_px + scale.width_px)) + 77);
  std::vector<double> contrasts;
  for (int place = 0; place < kBackgroundPlaces; ++place) {
    const cv::Point2d start(random.uniform(0, evidence.silver.cols), random.uniform(0, evidence.silver.rows));
    for (int i = 0; i < kDirections; i += 9) {
      const auto value = contrast(start, direction_at(i), 0.0, scale.length_px, scale.width_px);
      if (value) contrasts.push_back(std::abs(*value));
    }
  }
  if (contrasts.size() < 200) return;
  const double low = upper_quantile(contrasts, kLowShare);
  const double high = std::max(upper_quantile(contrasts, kHighShare), 1.01 * low);
  scale.c = std::clamp(std::log(std::log(kHighShare) / std::log(kLowShare)) / std::log(high / low), 0.4, 1.6);
  scale.log_a = std::log(high) - std::log(-std::log(kHighShare)) / scale.c;
  scales_.push_back(scale);
}

// Mean along the tail, weighted as it tapers, minus the mean of both flanks; the lesser of the differences to
// either flank, so that an edge of the picture does not pass for a tail.
std::optional<double> TailBackground::contrast(cv::Point2d start, cv::Point2d direction, double bend_per_px,
                                               double length_px, double width_px) const {
  const cv::Mat& silver = evidence_->silver;
  const cv::Point2d across(-direction.y, direction.x);
  std::array<double, 3> sums{};
  double weights = 0.0;
  for (double t = 0.1 * length_px; t <= length_px; t += 1.0) {
    const double half = 0.5 * width_px * (1.0 - 0.6 * t / length_px);
    const double weight = 1.0 - 0.6 * t / length_px;
    weights += weight;
    for (int side = -1; side <= 1; ++side) {
      double mean = 0.0;
      for (const double offset : {-0.5, 0.0, 0.5}) {
        const double shift = side == 0 ? offset * half : side * (2.2 * half + 2.0) + offset * half;
        const cv::Point at(cv::Point2d(start + t * direction + (bend_per_px * t * t + shift) * across));
        if (at.x < 0 || at.y < 0 || at.x >= silver.cols || at.y >= silver.rows ||
            evidence_->film.inside.at<std::uint8_t>(at) == 0) {
          return std::nullopt;
        }
        mean += silver.at<float>(at) / 3.0;
      }
      sums[static_cast<std::size_t>(side + 1)] += weight * mean;
    }
  }
  const double to_left = (sums[1] - sums[0]) / weights;
  const double to_right = (sums[1] - sums[2]) / weights;
  if (to_left * to_right <= 0) return 0.0;
  return std::abs(to_left) < std::abs(to_right) ? to_left : to_right;
}

std::optional<CometTail> TailBackground::tail_of(cv::Point head, double head_radius_px) const {
  std::optional<CometTail> best;
  const double log10_tests =
      std::log10(static_cast<double>(kDirections) * kBendsPerUnit.size() * kLengthsUnits.size());
  for (const Scale& scale : scales_) {
    const double per_head = scale.width_px / std::max(1.0, 2.0 * head_radius_px);
    if (scale.length_px < 3.0 * head_radius_px || per_head < kNarrowestPerHead || per_head > kWidestPerHead)
      continue;
    for (int i = 0; i < kDirections; ++i)
      for (const double bend : kBendsPerUnit) {
        const auto tail = judged(head, head_radius_px, scale, direction_at(i), bend / evidence_->px_per_unit);
        if (!tail) continue;
        const double log10_nfa = log10_tests + tail->log10_nfa;
        if (log10_nfa > kLargestLog10Nfa || (best && log10_nfa >= best->log10_nfa)) continue;
        best = tail;
        best->log10_nfa = log10_nfa;
      }
  }
  return best;
}

std::optional<CometTail> TailBackground::judged(cv::Point head, double head_radius_px, const Scale& scale,
                                                cv::Point2d direction, double bend_per_px) const {
  const double away = 1.2 * head_radius_px + 1.0;
  const auto value =
      contrast(cv::Point2d(head) + away * direction, direction, bend_per_px, scale.length_px, scale.width_px);
  if (!value || *value == 0.0) return std::nullopt;
  // A line or the middle of a tail goes on to both sides; a comet has one tail.
  const auto opposite =
      contrast(cv::Point2d(head) - away * direction, -direction, 0.0, scale.length_px / 2.0, scale.width_px);
  if (opposite && *opposite / *value > kMostTwoSided) return std::nullopt;
  const double log10_probability =
      -std::exp(scale.c * (std::log(std::abs(*value)) - scale.log_a)) / std::numbers::ln10;
  const double bend = bend_per_px * scale.length_px * scale.length_px;
  const cv::Point2d end = scale.length_px * direction + bend * cv::Point2d(-direction.y, direction.x);
  return CometTail{end / cv::norm(end), cv::norm(end), *value, log10_probability};
}

}  // namespace platewise
