// Curves at several development times: what sensitometry's fit_development learns from them takes the place
// of the recommender's own idea of growth.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "platewise/recommend/recommend.h"
#include "platewise/sensitometry/development.h"

namespace platewise {
namespace {

constexpr double kSupport = 1.35;

// A tintype's curve at one time, of known fog and lightening, with its steps.
PlateCurve curve_at(double development_s, double fog, double largest) {
  PlateCurve curve{.kind = PlateKind::tintype, .development_s = development_s, .exposure_s = 8.0};
  curve.model = {.fog = fog, .amplitude = largest - fog, .slope = 5.0, .middle = -0.9, .asymmetry = 1.0};
  for (int step = 20; step >= 0; --step) {
    const double x = -0.15 * step;
    curve.steps.push_back({x, kSupport - curve.model.silver(x), 0.01});
  }
  curve.fog = {fog, 0.005};
  curve.gamma = {curve.model.gamma(), 0.03};
  curve.max_density = {kSupport - fog, 0.01};
  curve.min_density = {kSupport - largest, 0.01};
  return curve;
}

// A plate of right exposure whose margin was not seen: only its time says how it was developed.
Tones without_margin(double floor, double midtone, double highlight) {
  const auto at = [](double silver) { return Quantity{kSupport - silver, 0.2}; };
  return {.floor_density = at(floor),
          .midtone_density = at(midtone),
          .highlight_density = at(highlight),
          .range = Quantity{highlight - floor, 0.02}};
}

Recommendation advice_with(const std::vector<PlateCurve>& curves, double development_s) {
  const auto advice =
      recommend(without_margin(0.12, 0.5, 0.80),
                {.settings = {.exposure_s = 8.0, .development_s = development_s}, .curves = curves});
  EXPECT_TRUE(advice.has_value());
  return *advice;
}

TEST(MeasuredGrowth, TheTimeIsThatOfTheFittedFog) {
  const std::vector<PlateCurve> curves = {curve_at(10.0, 0.03, 0.86), curve_at(20.0, 0.055, 0.90),
                                          curve_at(40.0, 0.10, 0.92)};
  const auto model = fit_development(curves);
  ASSERT_TRUE(model.has_value());
  double aim_s = 10.0;  // the longest time whose fitted fog is at or under 0.06
  while (model->fog.at(aim_s + 0.1).value <= 0.06) aim_s += 0.1;
  constexpr double kCautious = 0.25;  // ln: the step stops short where more might make it worse
  for (const double from_s : {14.0, 20.0, 30.0}) {
    const Recommendation advice = advice_with(curves, from_s);
    EXPECT_NEAR(std::log(*advice.development.to_exact_s / aim_s), 0.0, kCautious) << from_s;
  }
}

// The same plate and noted time; only what the curves say of fog differs.
TEST(MeasuredGrowth, FogThatGrowsEarlierMeansAShorterTime) {
  const Recommendation slow = advice_with({curve_at(12.0, 0.02, 0.88), curve_at(24.0, 0.045, 0.9)}, 18.0);
  const Recommendation quick = advice_with({curve_at(12.0, 0.07, 0.88), curve_at(24.0, 0.14, 0.9)}, 18.0);
  EXPECT_GT(slow.development.change, 10.0);
  EXPECT_LT(quick.development.change, -10.0);
}

// Handbook, process.md section 4: iron development 45-90 s reported equally good. Where three times gave the
// same fog and the same lights, a veil is not answered with a shorter time: it is chemistry.
TEST(MeasuredGrowth, AVeilThatTimeWasSeenNotToMakeIsChemistry) {
  const std::vector<PlateCurve> same = {curve_at(12.0, 0.05, 0.9), curve_at(20.0, 0.05, 0.9),
                                        curve_at(34.0, 0.05, 0.9)};
  ASSERT_GT(fit_development(same)->fog.no_growth_probability(), 0.6);
  Tones veiled = without_margin(0.23, 0.5, 0.82);
  veiled.margin_fog = Quantity{0.17, 0.02};
  veiled.floor_over_margin = Quantity{0.06, 0.02};
  RecommendOptions options{.settings = {.exposure_s = 8.0, .development_s = 20.0}, .curves = same};
  const auto learnt = recommend(veiled, options);
  options.curves = {curve_at(20.0, 0.05, 0.9)};
  const auto once = recommend(veiled, options);
  ASSERT_TRUE(learnt && once);
  EXPECT_EQ(learnt->diagnosis, Diagnosis::fogged);
  EXPECT_GE(learnt->development.change, 0.0);
  const auto fogged = static_cast<std::size_t>(Diagnosis::fogged);
  EXPECT_GT(learnt->probability[fogged], once->probability[fogged]);
}

TEST(MeasuredGrowth, OneTimeTeachesNothingOfGrowth) {
  const Recommendation once = advice_with({curve_at(18.0, 0.06, 0.9)}, 18.0);
  const Recommendation twice = advice_with({curve_at(18.0, 0.06, 0.9), curve_at(18.5, 0.06, 0.9)}, 18.0);
  EXPECT_NEAR(once.development.change, twice.development.change, 10.0);
}

}  // namespace
}  // namespace platewise
