#include "platewise/sensitometry/fit_curve.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "platewise/stats/monotone.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

// Net density of an iron-developed iodide plate against relative log exposure: third-party tracing of
// Skladnikiewitz, Hertel & Schmidt 1998 to about 0.01 (handbook, numbers.csv). Below 0.80 it was not traced.
const std::vector<double> kTracedLogExposure{0.80, 0.90, 1.00, 1.10, 1.20, 1.30, 1.40, 1.50, 1.60, 1.70,
                                             1.80, 1.90, 2.00, 2.10, 2.30, 2.50, 2.70, 2.90, 3.10};
const std::vector<double> kTracedDensity{0.07, 0.10, 0.17, 0.30, 0.44, 0.57, 0.70, 0.81, 0.91, 0.96,
                                         1.07, 1.13, 1.18, 1.22, 1.30, 1.38, 1.43, 1.49, 1.57};
constexpr double kGlass = 0.04;

CurveOptions options_for(PlateKind kind) {
  CurveOptions options;
  options.kind = kind;
  options.support_density = {is_positive(kind) ? 1.35 : kGlass, 0.01};
  options.support_seen = true;
  return options;
}

std::vector<CurveStep> steps_of(const std::function<double(double)>& net, PlateKind kind, double from,
                                double to, int count, double noise = 0.0, std::uint64_t seed = 1) {
  Random random(seed);
  std::vector<CurveStep> steps;
  for (int i = 0; i < count; ++i) {
    const double x = from + (to - from) * i / (count - 1);
    const double silver = 0.05 + net(x) + random.normal(0.0, noise);
    steps.push_back({x, is_positive(kind) ? 1.35 - silver : kGlass + silver, std::max(noise, 0.003)});
  }
  return steps;
}

TEST(FitCurve, ReadsTheTracedIronCurve) {
  // Expected: gamma 1.28 (1.1-1.4) between 1.0 and 1.5; span from net 0.1 to 1.0 of 0.84 (numbers.csv, same
  // source).
  std::vector<CurveStep> steps;
  for (std::size_t i = 0; i < kTracedDensity.size(); ++i) {
    steps.push_back({kTracedLogExposure[i], kGlass + kTracedDensity[i], 0.01});
  }
  CurveOptions options = options_for(PlateKind::negative);
  options.unexposed = Quantity{kGlass, 0.01};  // net density counts from there
  const auto curve = fit_curve(steps, options);
  ASSERT_TRUE(curve.has_value());
  EXPECT_NEAR(curve->gamma.value, 1.28, 0.15);
  EXPECT_NEAR(curve->speed_point_log_exposure.value, 0.90, 0.06);
  EXPECT_NEAR(curve->max_density.value, kGlass + 1.57, 0.03);
  EXPECT_LT(curve->residual, 0.04);  // the sigmoid alone cannot follow the knee; the quantities above can
  EXPECT_NEAR(curve->model.log_exposure_for(curve->model.fog + 1.0) -
                  curve->model.log_exposure_for(curve->model.fog + 0.1),
              0.84, 0.08);
}

using Net = double (*)(double);
double gaussian_rise(double x) {
  return 1.5 * 0.5 * std::erfc(-x / 0.7);
}
double saturating_cover(double x) {
  return 0.8 * (1.0 - std::exp(-std::pow(10.0, 1.4 * x)));
}
double traced(double x) {
  static const MonotoneCubic curve(kTracedLogExposure, kTracedDensity);
  const double at = x + 1.4;
  return at > 0.8 ? curve(at) : 0.07 * std::exp((at - 0.8) * 6.0);
}

struct Family {
  const char* name;
  Net net;
  PlateKind kind;
};
class OtherFamilies : public testing::TestWithParam<Family> {};

// Curves of families that are not fitted: k = 2 intervals hold the truth in most draws, and are no excuse.
TEST_P(OtherFamilies, IntervalsHoldTheTruth) {
  const auto [name, net, kind] = GetParam();
  double gamma = 0.0;
  for (double x = -2.0; x < 2.0; x += 0.002) gamma = std::max(gamma, (net(x + 0.01) - net(x - 0.01)) / 0.02);
  constexpr int kDraws = 8;
  int fog_inside = 0;
  int gamma_inside = 0;
  int largest_inside = 0;
  double gamma_u = 0.0;
  for (int i = 0; i < kDraws; ++i) {
    const auto curve =
        fit_curve(steps_of(net, kind, -1.4, 1.3, 18, 0.01, 50 + static_cast<unsigned>(i)), options_for(kind));
    ASSERT_TRUE(curve.has_value());
    const Quantity largest = is_positive(kind) ? curve->min_density : curve->max_density;
    const double largest_truth = is_positive(kind) ? 1.30 - net(1.3) : kGlass + 0.05 + net(1.3);
    fog_inside += std::abs(curve->fog.value - 0.05 - net(-9.0)) <= 2.0 * curve->fog.u;
    gamma_inside += std::abs(curve->gamma.value - gamma) <= 2.0 * curve->gamma.u;
    largest_inside += std::abs(largest.value - largest_truth) <= 2.0 * largest.u;
    gamma_u += curve->gamma.u / kDraws;
  }
  EXPECT_GE(fog_inside, kDraws - 1);
  EXPECT_GE(gamma_inside, kDraws - 1);
  EXPECT_GE(largest_inside, kDraws - 1);
  EXPECT_LT(gamma_u, 0.12 * gamma);
}
INSTANTIATE_TEST_SUITE_P(Draws, OtherFamilies,
                         testing::Values(Family{"gaussian", gaussian_rise, PlateKind::negative},
                                         Family{"cover", saturating_cover, PlateKind::tintype},
                                         Family{"traced", traced, PlateKind::negative}),
                         [](const auto& row) { return std::string(row.param.name); });

TEST(FitCurve, DoesNotCareAboutOrderAndFollowsTheExposureAxis) {
  auto steps = steps_of(gaussian_rise, PlateKind::negative, -1.5, 1.2, 15, 0.01);
  const auto options = options_for(PlateKind::negative);
  const auto curve = fit_curve(steps, options).value();
  std::reverse(steps.begin(), steps.end());
  EXPECT_NEAR(fit_curve(steps, options)->gamma.value, curve.gamma.value, 1e-9);
  for (CurveStep& step : steps) step.log_exposure += 0.7;
  const auto moved = fit_curve(steps, options).value();
  EXPECT_NEAR(moved.speed_point_log_exposure.value, curve.speed_point_log_exposure.value + 0.7, 1e-4);
  EXPECT_NEAR(moved.gamma.value, curve.gamma.value, 1e-3);
}

TEST(FitCurve, SaysWhereTheWedgeDidNotReach) {
  const auto options = options_for(PlateKind::negative);
  const auto weak = fit_curve(steps_of(gaussian_rise, PlateKind::negative, -1.8, 0.1, 15), options).value();
  EXPECT_FALSE(weak.shoulder_reached);
  EXPECT_TRUE(weak.toe_reached);
  EXPECT_THAT(weak.warnings, testing::Contains(testing::HasSubstr("at least")));
  const auto strong = fit_curve(steps_of(gaussian_rise, PlateKind::negative, -0.1, 1.5, 15), options).value();
  EXPECT_TRUE(strong.shoulder_reached);
  EXPECT_FALSE(strong.toe_reached);
  EXPECT_GT(strong.fog.u, 2.0 * weak.fog.u);
}

TEST(FitCurve, FewStepsGiveWideAnswersNotWrongOnes) {
  const auto options = options_for(PlateKind::tintype);
  const auto few =
      fit_curve(steps_of(saturating_cover, PlateKind::tintype, -0.5, 0.4, 4, 0.01), options).value();
  const auto many =
      fit_curve(steps_of(saturating_cover, PlateKind::tintype, -1.5, 1.2, 21, 0.01), options).value();
  EXPECT_GT(few.gamma.u, 2.0 * many.gamma.u);
  EXPECT_NEAR(few.gamma.value, many.gamma.value, 2.0 * few.gamma.u);
}

TEST(FitCurve, OneWildStepHardlyMovesIt) {
  auto steps = steps_of(gaussian_rise, PlateKind::negative, -1.5, 1.2, 19, 0.005);
  const auto options = options_for(PlateKind::negative);
  const auto clean = fit_curve(steps, options).value();
  steps[12].density += 0.35;
  const auto soiled = fit_curve(steps, options).value();
  EXPECT_NEAR(soiled.gamma.value, clean.gamma.value, 0.12 * clean.gamma.value);
  EXPECT_NEAR(soiled.fog.value, clean.fog.value, 0.02);
}

TEST(FitCurve, RefusesWhatIsNoCurve) {
  const auto options = options_for(PlateKind::negative);
  const auto good = steps_of(gaussian_rise, PlateKind::negative, -1.5, 1.2, 15);
  const auto few = fit_curve({good[0], good[7], good[14]}, options);
  ASSERT_FALSE(few.has_value());
  EXPECT_THAT(few.error().what, testing::HasSubstr("only 3 steps"));
  const auto wrong_way = fit_curve(good, options_for(PlateKind::tintype));
  ASSERT_FALSE(wrong_way.has_value());
  EXPECT_THAT(wrong_way.error().what, testing::HasSubstr("direction"));
  std::vector<CurveStep> flat(6, {0.0, 0.1, 0.01});
  for (std::size_t i = 0; i < flat.size(); ++i) flat[i].log_exposure = 0.3 * static_cast<double>(i);
  EXPECT_FALSE(fit_curve(flat, options).has_value());
}

}  // namespace
}  // namespace platewise
