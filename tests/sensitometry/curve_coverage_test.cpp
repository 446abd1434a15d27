#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <functional>
#include <vector>

#include "platewise/sensitometry/fit_curve.h"
#include "platewise/stats/distributions.h"
#include "platewise/stats/monotone.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

using Net = std::function<double(double)>;

// Materials whose curves come from other laws than the shapes that are fitted: silver over fog, 0 far below.
// Fast and slow grains that need a few quanta each (Silberstein 1922): sudden toe, long shoulder.
Net grains(PlateKind kind, Random& random) {
  const bool positive = is_positive(kind);
  const double fast = (positive ? 0.87 : 1.25) * random.uniform(0.85, 1.2);
  const double slow = 0.64 * random.uniform(0.6, 1.3);
  const double slow_point = 1.4 + random.uniform(-0.3, 0.3);
  const auto hits = static_cast<int>(random.whole(1, 3));
  const double white = random.uniform(0.33, 0.50);
  return [=](double x) {
    const double tau = fast * poisson_share_from(hits, std::pow(10.0, x + 0.6)) +
                       slow * poisson_share_from(1, std::pow(10.0, x + 0.6 - slow_point));
    if (!positive) return tau;
    constexpr double kBlack = 0.045;
    return std::log10((white * (1.0 - std::pow(10.0, -tau)) + kBlack * std::pow(10.0, -2.0 * tau)) / kBlack);
  };
}
Net normal_rise(PlateKind kind, Random& random) {
  const double net = (is_positive(kind) ? 0.85 : 1.6) * random.uniform(0.75, 1.3);
  const double width = random.uniform(0.3, 0.65);
  return [=](double x) { return 0.5 * net * std::erfc(-x / (width * std::sqrt(2.0))); };
}
Net power_law(PlateKind kind, Random& random) {
  const double net = (is_positive(kind) ? 0.85 : 1.6) * random.uniform(0.75, 1.3);
  const double power = random.uniform(0.9, 1.8);
  return [=](double x) { return net * 2.0 / M_PI * std::atan(std::pow(10.0, power * x)); };
}

// Iron-developed iodide plate as traced (handbook, numbers.csv), stretched; below its first point, where
// nothing was traced, an exponential foot of any steepness.
Net traced(PlateKind kind, Random& random) {
  static const std::vector<double> kX{0.80, 0.90, 1.00, 1.10, 1.20, 1.30, 1.40, 1.50, 1.60, 1.70,
                                      1.80, 1.90, 2.00, 2.10, 2.30, 2.50, 2.70, 2.90, 3.10};
  static const std::vector<double> kNet{0.07, 0.10, 0.17, 0.30, 0.44, 0.57, 0.70, 0.81, 0.91, 0.96,
                                        1.07, 1.13, 1.18, 1.22, 1.30, 1.38, 1.43, 1.49, 1.57};
  const double height = (is_positive(kind) ? 0.6 : 1.1) * random.uniform(0.8, 1.25);
  const double stretch = random.uniform(0.8, 1.2);
  const double foot = random.uniform(3.0, 9.0);
  const MonotoneCubic curve(kX, kNet);
  return [=](double x) {
    const double at = 1.2 + stretch * x;
    if (at < kX.front()) return height * kNet.front() * std::exp(foot * (at - kX.front()));
    if (at > kX.back()) return height * (kNet.back() + 0.2 * (1.0 - std::exp(-2.0 * (at - kX.back()))));
    return height * curve(at);
  };
}

double where(const Net& net, double silver) {
  double low = -8.0;
  double high = 4.0;
  for (int i = 0; i < 70; ++i) (net(0.5 * (low + high)) < silver ? low : high) = 0.5 * (low + high);
  return 0.5 * (low + high);
}

struct Draw {
  PlateKind kind;
  Net net;
  double strongest = 1.0;  // log exposure of the first step
  double fog = 0.05;
  std::vector<CurveStep> steps;
};

// A wedge that need reach neither toe nor shoulder, read by a device whose errors run smoothly along its
// density and that are stated at their size.
Draw drawn(std::uint64_t seed) {
  Random random = Random(seed).fork(3);
  Draw draw;
  draw.kind = random.chance(0.5) ? PlateKind::tintype : PlateKind::negative;
  const auto family = random.whole(0, 3);
  draw.net = family == 0   ? grains(draw.kind, random)
             : family == 1 ? normal_rise(draw.kind, random)
             : family == 2 ? power_law(draw.kind, random)
                           : traced(draw.kind, random);
  draw.fog = random.uniform(0.02, 0.12);
  const auto count = static_cast<int>(random.whole(11, 31));
  const double length = random.uniform(1.8, 3.3);
  draw.strongest = where(draw.net, 0.5 * draw.net(4.0)) + random.uniform(0.5, 1.6);
  const double sign = is_positive(draw.kind) ? -1.0 : 1.0;
  const double support = sign > 0 ? 0.04 : 1.35;
  const double unevenness = random.uniform(0.003, 0.012);
  constexpr double kDeviceU = 0.008;
  const double wave = random.uniform(0.4, 1.5);
  const double phase = random.uniform(0.0, 6.28);
  for (int i = 0; i < count; ++i) {
    const double x = length * (static_cast<double>(i) / (count - 1) - 1.0);
    const double density = support + sign * (draw.fog + draw.net(draw.strongest + x));
    const double device = 0.7 * kDeviceU * std::sin(6.28 * density / wave + phase);
    draw.steps.push_back({x, density + device + random.normal(0.0, unevenness), kDeviceU});
  }
  return draw;
}

struct Tally {
  const char* name;
  int inside = 0;

  void add(const Quantity& measured, double truth) {
    inside += std::abs(measured.value - truth) <= 2.0 * measured.u;
  }
};

TEST(FitCurve, HoldsTheTruthAsOftenAsItsUncertaintiesSay) {
  constexpr int kDraws = 100;
  constexpr int kLeastInside = 90;  // chance of fewer where 95% hold: 1.1% a quantity (binomial)
  constexpr std::uint64_t kFirstSeed = 9100;
  std::array<Tally, 7> tallies{Tally{"gamma"},     {"speed point"}, {"fog"},        {"average gradient"},
                               {"exposure scale"}, {"min density"}, {"max density"}};
  for (int i = 0; i < kDraws; ++i) {
    const auto seed = kFirstSeed + static_cast<std::uint64_t>(i);
    const Draw draw = drawn(seed);
    CurveOptions options;
    options.kind = draw.kind;
    options.support_density = {is_positive(draw.kind) ? 1.35 : 0.04, 0.02};
    options.support_density.value += Random(seed).fork(9).normal(0.0, 0.02);
    options.support_seen = true;
    const auto curve = fit_curve(draw.steps, options);
    ASSERT_TRUE(curve.has_value()) << seed << ": " << curve.error().message();
    const auto net = [&](double x) { return draw.net(draw.strongest + x); };
    double gamma = 0.0;
    for (double x = -4.0; x < 1.5; x += 0.005) gamma = std::max(gamma, (net(x + 0.05) - net(x - 0.05)) / 0.1);
    const double speed = where(net, 0.1);
    const double reach = is_positive(draw.kind) ? 0.65 : 1.30;
    const double scale = where(net, 0.9 * net(0.0)) - where(net, 0.04);
    const double support = is_positive(draw.kind) ? 1.35 : 0.04;
    const double sign = is_positive(draw.kind) ? -1.0 : 1.0;
    const double none = support + sign * draw.fog;
    const double most = support + sign * (draw.fog + net(0.0));
    tallies[0].add(curve->gamma, gamma);
    tallies[1].add(curve->speed_point_log_exposure, speed);
    tallies[2].add(curve->fog, draw.fog);
    tallies[3].add(curve->average_gradient, (net(speed + reach) - net(speed)) / reach);
    tallies[4].add(curve->exposure_scale, scale);
    tallies[5].add(curve->min_density, std::min(none, most));
    tallies[6].add(curve->max_density, std::max(none, most));
  }
  for (const Tally& tally : tallies) {
    EXPECT_GE(tally.inside, kLeastInside) << tally.name;
  }
}

}  // namespace
}  // namespace platewise
