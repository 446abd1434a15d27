#include "comet_tail.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "plain_step.h"
#include "platewise/stats/robust.h"

namespace platewise {
namespace {

constexpr int kTurns = 96;
constexpr double kTurn = 2.0 * std::numbers::pi / kTurns;
constexpr std::array kBendsPerUnit{-0.024, -0.016, -0.008, 0.0, 0.008, 0.016, 0.024};
constexpr std::array kLengths{3, 4, 6, 8, 11, 15, 20, 27, 40};  // steps
constexpr double kMostUnits = 20.0;                             // handbook: tails 2-20 mm
constexpr double kLeastUnits = 1.5;
constexpr double kFlankWidths = 3.0;   // of the smoothing
constexpr double kFreeOfTail = 1.1;    // radians from the tail: what lies there is chance
constexpr double kMostOfHead = 0.8;    // of its contrast: plainer is another thing beside it
constexpr double kLeastGrain = 0.004;  // silver: steps of flat tones in 8-bit scans
constexpr std::size_t kFewestTurns = 24;
constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

double apart(double turn, double other) {
  return std::abs(std::remainder(turn - other, 2.0 * std::numbers::pi));
}

}  // namespace

CometFan::CometFan(const RoundEdge& spot, const Evidence& evidence, const cv::Mat& smooth, double width_px)
    : px_per_unit_(evidence.px_per_unit),
      step_px_(std::max(1.0, 1.5 * width_px)),
      flank_px_(kFlankWidths * width_px + 1.0),
      first_px_(1.2 * spot.radius_px + 1.5 * width_px + 0.5),
      most_(static_cast<float>(kMostOfHead * spot.contrast)),
      noise_(1.22 * std::max(evidence.grain, kLeastGrain) / (2.0 * std::sqrt(std::numbers::pi) * width_px)),
      steps_(
          std::min(kLengths.back(), static_cast<int>((kMostUnits * px_per_unit_ - first_px_) / step_px_))) {
  for (const int n : kLengths)
    if (n <= steps_ && first_px_ + n * step_px_ >= kLeastUnits * px_per_unit_) lengths_.push_back(n);
  if (lengths_.empty()) return;
  fill(spot.middle, evidence, smooth);
  for (int t = 0; t < kTurns; ++t)
    for (const double bend : kBendsPerUnit) coarse_.push_back(flank_sums(kTurn * t, bend / px_per_unit_));
}

void CometFan::fill(cv::Point2d middle, const Evidence& evidence, const cv::Mat& smooth) {
  one_ = cv::Mat(steps_, kTurns, CV_32FC1, cv::Scalar(kUnknown));
  other_ = one_.clone();
  const cv::Rect2d box(1, 1, smooth.cols - 3, smooth.rows - 3);
  for (int t = 0; t < kTurns; ++t) {
    const cv::Point2d along(std::cos(kTurn * t), std::sin(kTurn * t));
    const cv::Point2d across(-flank_px_ * along.y, flank_px_ * along.x);
    for (int i = 0; i < steps_; ++i) {
      const cv::Point2d p = middle + (first_px_ + i * step_px_) * along;
      if (!box.contains(p) || !box.contains(p + across) || !box.contains(p - across)) break;
      if (evidence.film.inside.at<std::uint8_t>(static_cast<int>(p.y), static_cast<int>(p.x)) == 0) break;
      const float here = between_pixels(smooth, p.x, p.y);
      one_.at<float>(i, t) =
          std::clamp(here - between_pixels(smooth, p.x + across.x, p.y + across.y), -most_, most_);
      other_.at<float>(i, t) =
          std::clamp(here - between_pixels(smooth, p.x - across.x, p.y - across.y), -most_, most_);
    }
  }
}

CometFan::Step CometFan::at(int i, double turn, double bend) const {
  const double u = first_px_ + i * step_px_;
  const double place = (turn + bend * u) / kTurn + kTurns;  // a whole turn more: never negative
  const int whole = static_cast<int>(place);
  const int left = whole % kTurns;
  const int right = left + 1 < kTurns ? left + 1 : 0;
  const double share = place - whole;
  return {(1.0 - share) * one_.at<float>(i, left) + share * one_.at<float>(i, right),
          (1.0 - share) * other_.at<float>(i, left) + share * other_.at<float>(i, right)};
}

// Of each length n the sum of (1 - i / n) times the contrast.
CometFan::FlankSums CometFan::flank_sums(double turn, double bend) const {
  FlankSums sums(lengths_.size(), {kUnknown, kUnknown});
  Step sum;
  Step moment;
  std::size_t k = 0;
  for (int i = 0; i < steps_ && k < lengths_.size(); ++i) {
    const Step step = at(i, turn, bend);
    if (std::isnan(step.one) || std::isnan(step.other)) break;
    sum.one += step.one;
    sum.other += step.other;
    moment.one += i * step.one;
    moment.other += i * step.other;
    if (i + 1 < lengths_[k]) continue;
    const double n = lengths_[k];
    sums[k++] = {sum.one - moment.one / n, sum.other - moment.other / n};
  }
  return sums;
}

// Against the flank that gives less.
CometFan::Sums CometFan::sums(int sign, const FlankSums& flanks) const {
  Sums sums;
  sums.reserve(flanks.size());
  for (const Step& flank : flanks) sums.push_back(std::min(sign * flank.one, sign * flank.other));
  return sums;
}

CometFan::Sums CometFan::sums(int sign, double turn, double bend) const {
  return sums(sign, flank_sums(turn, bend));
}

std::vector<CometFan::Chance> CometFan::chance(const std::vector<Sums>& straight, double turn,
                                               double off) const {
  std::vector<Chance> all(lengths_.size());
  std::vector<double> values;
  for (std::size_t k = 0; k < lengths_.size(); ++k) {
    values.clear();
    for (std::size_t t = 0; t < straight.size(); ++t)
      if (!std::isnan(straight[t][k]) && apart(kTurn * static_cast<double>(t), turn) >= off)
        values.push_back(straight[t][k]);
    if (values.size() < kFewestTurns) continue;
    all[k].median = median(values);
    // The squares of the weights add up to a third of the steps.
    all[k].sigma = std::max(robust_sigma(values), noise_ * std::sqrt(lengths_[k] / 3.0));
  }
  return all;
}

void CometFan::try_ray(const Sums& sums, const std::vector<Chance>& chance, double turn, double bend,
                       Ray& best) const {
  for (std::size_t k = 0; k < sums.size(); ++k) {
    if (std::isnan(sums[k]) || sums[k] <= 0.0 || chance[k].sigma <= 0.0) continue;
    const double z = (sums[k] - chance[k].median) / chance[k].sigma;
    if (z > best.z) best = {z, turn, bend, lengths_[k]};
  }
}

CometFan::Ray CometFan::best_ray(int sign, const std::vector<Chance>& chance, const Ray* near) const {
  constexpr double kNear = 0.3;
  Ray best;
  for (int t = 0; t < kTurns; ++t) {
    if (near != nullptr && apart(kTurn * t, near->turn) > kNear) continue;
    for (std::size_t b = 0; b < kBendsPerUnit.size(); ++b)
      try_ray(sums(sign, coarse_[static_cast<std::size_t>(t) * kBendsPerUnit.size() + b]), chance, kTurn * t,
              kBendsPerUnit[b] / px_per_unit_, best);
  }
  if (near == nullptr || best.steps == 0) return best;
  const Ray coarse = best;
  for (double turn = -0.048; turn <= 0.0481; turn += 0.016)
    for (double bend = -0.004; bend <= 0.0041; bend += 0.004) {
      const double t = coarse.turn + turn;
      const double b = coarse.bend + bend / px_per_unit_;
      try_ray(sums(sign, t, b), chance, t, b, best);
    }
  return best;
}

// The length and bend that fit best, each step counted alike: the ray that is least like chance is often the
// plainest part of the tail alone.
CometFan::Ray CometFan::as_long_as_it_is(int sign, const Ray& ray) const {
  std::vector<Ray> fits(lengths_.size());
  double most = 0.0;
  for (double bend = -0.024; bend <= 0.0241; bend += 0.004)
    for (double turn = -0.08; turn <= 0.081; turn += 0.02) {
      const double b = bend / px_per_unit_;
      const Sums all = sums(sign, ray.turn + turn, b);
      for (std::size_t k = 0; k < all.size(); ++k) {
        if (std::isnan(all[k]) || lengths_[k] < ray.steps) continue;
        const double fit = all[k] / std::sqrt(lengths_[k]);
        most = std::max(most, fit);
        if (fit > fits[k].z) fits[k] = {fit, ray.turn + turn, b, lengths_[k]};
      }
    }
  constexpr double kAsGood = 0.985;
  for (const Ray& fit : fits)
    if (fit.steps > 0 && fit.z >= kAsGood * most) return {ray.z, fit.turn, fit.bend, fit.steps};
  return ray;
}

double CometFan::mean(int sign, const Ray& ray, int from, int to) const {
  Step sum;
  int n = 0;
  for (int i = from; i < std::min(to, steps_); ++i) {
    const Step step = at(i, ray.turn, ray.bend);
    if (std::isnan(step.one) || std::isnan(step.other)) continue;
    sum.one += sign * step.one;
    sum.other += sign * step.other;
    ++n;
  }
  return n > 0 ? std::min(sum.one, sum.other) / n : 0.0;
}

// How much better a line that fades evenly to its end fits than an even one that ends at once, each as long
// as suits it: 1.06 for the one, 0.94 for the other.
double CometFan::fading(int sign, const Ray& ray) const {
  Step sum;
  Step moment;
  double faded = 0.0;
  double even = 0.0;
  for (int i = 0; i < steps_; ++i) {
    const Step step = at(i, ray.turn, ray.bend);
    if (std::isnan(step.one) || std::isnan(step.other)) break;
    const double n = i + 1.0;
    sum.one += sign * step.one;
    sum.other += sign * step.other;
    moment.one += sign * i * step.one;
    moment.other += sign * i * step.other;
    const double squares = (n + 1.0) * (2.0 * n + 1.0) / (6.0 * n);  // of the weights 1 - i / n
    faded = std::max(faded,
                     std::min(sum.one - moment.one / n, sum.other - moment.other / n) / std::sqrt(squares));
    even = std::max(even, std::min(sum.one, sum.other) / std::sqrt(n));
  }
  return even > 0.0 ? faded / even : 0.0;
}

void CometFan::measure(CometTail& tail, const Ray& ray) const {
  const int third = std::max(1, ray.steps / 3);
  tail.turn = ray.turn;
  tail.bend = ray.bend;
  tail.length_px = first_px_ + ray.steps * step_px_;
  tail.near = mean(tail.sign, ray, 0, third);
  tail.middle = mean(tail.sign, ray, third, ray.steps - third);
  tail.far = mean(tail.sign, ray, ray.steps - third, ray.steps);
  tail.beyond = mean(tail.sign, ray, ray.steps, ray.steps + third);
  int agreeing = 0;
  for (int i = 0; i < ray.steps; ++i) {
    const Step step = at(i, ray.turn, ray.bend);
    agreeing += std::min(tail.sign * step.one, tail.sign * step.other) > 0.0;
  }
  tail.agreeing = static_cast<double>(agreeing) / ray.steps;
  tail.fading = fading(tail.sign, ray);
}

CometTail CometFan::tail(int sign) const {
  CometTail tail{.sign = sign};
  if (lengths_.empty()) return tail;
  std::vector<Sums> straight;
  straight.reserve(kTurns);
  constexpr std::size_t kStraight = kBendsPerUnit.size() / 2;
  static_assert(kBendsPerUnit[kStraight] == 0.0);
  for (std::size_t t = 0; t < kTurns; ++t)
    straight.push_back(sums(sign, coarse_[t * kBendsPerUnit.size() + kStraight]));
  const Ray first = best_ray(sign, chance(straight, 0.0, 0.0), nullptr);
  if (first.steps == 0) return tail;
  const std::vector<Chance> beside = chance(straight, first.turn, kFreeOfTail);
  const Ray best = best_ray(sign, beside, &first);
  if (best.steps == 0) return tail;
  tail.z = best.z;
  for (int t = 0; t < kTurns; ++t) {
    const double off = apart(kTurn * t, best.turn);
    if (off < 0.5) continue;
    Ray one;
    try_ray(straight[static_cast<std::size_t>(t)], beside, kTurn * t, 0.0, one);
    tail.other = std::max(tail.other, one.z);
  }
  const Ray longest = as_long_as_it_is(sign, best);
  measure(tail, longest);
  const int third = std::max(1, longest.steps / 3);
  for (double turn = -0.4; turn <= 0.41; turn += 0.1)
    tail.opposite =
        std::max(tail.opposite,
                 mean(sign, {0.0, longest.turn + std::numbers::pi + turn, 0.0, longest.steps}, 0, third));
  return tail;
}

}  // namespace platewise
