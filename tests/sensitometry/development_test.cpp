#include "platewise/sensitometry/development.h"

#include <gtest/gtest.h>

#include <cmath>

#include "platewise/stats/random.h"
#include "published/published.h"

namespace platewise {
namespace {

TEST(GrowthLaw, MatchesTheTabulatedLaw) {
  // sensitometry.json, development_law (Sheppard & Mees 1907; numbers to 12 digits).
  for (const auto& row : published::json("sensitometry.json")["development_law"]["rows"]) {
    const GrowthLaw law{row["gamma_inf"], row["k"]};
    constexpr double kTwelfthDigit = 1e-11;
    EXPECT_NEAR(law.at(row["t"]), row["gamma"], kTwelfthDigit);
    const double growth_per_s = law.rate_per_s * (law.limit - row["gamma"].get<double>());
    EXPECT_NEAR(law.time_for(row["gamma"]).value(), row["t"], kTwelfthDigit / growth_per_s);
  }
}

TEST(GrowthLaw, MatchesTheWorkedChanges) {
  // recommendation_arithmetic.json, development and two_times; 1e-8 as stated there.
  const auto reference = published::json("recommendation_arithmetic.json");
  for (const auto& row : reference["development"]["examples"]) {
    const auto time = GrowthLaw{row["gamma_inf"], row["k"]}.time_for(row["gamma_wanted"]);
    ASSERT_EQ(time.has_value(), !row["time_next"].is_null());
    if (time) {
      EXPECT_NEAR(*time, row["time_next"], 1e-8);
    }
  }
  for (const auto& row : reference["two_times"]["examples"]) {
    const auto law = law_from_two_times(row["t"], row["gamma_t"], row["gamma_2t"]);
    ASSERT_TRUE(law.has_value());
    EXPECT_NEAR(law->limit, row["gamma_inf"], 1e-8);
    EXPECT_NEAR(law->rate_per_s, row["k"], 1e-8);
  }
  EXPECT_FALSE(law_from_two_times(10, 1.0, 1.0).has_value());
  EXPECT_FALSE(law_from_two_times(10, 1.0, 2.1).has_value());
}

std::vector<TimedQuantity> drawn(const std::vector<double>& times, double (*truth)(double), double u,
                                 std::uint64_t seed) {
  Random random(seed);
  std::vector<TimedQuantity> values;
  for (const double time : times) values.push_back({time, {random.normal(truth(time), u), u}});
  return values;
}
double constant(double) {
  return 1.3;
}
double growing(double t) {
  return 1.8 * (1.0 - std::exp(-0.05 * t));
}

const GrowthPrior kPrior{{1.3, 0.8}};

TEST(Growth, LearnsThatNothingGrows) {
  const Growth growth = fit_growth(drawn({10, 15, 20, 30, 45}, constant, 0.02, 4), kPrior);
  EXPECT_GT(growth.no_growth_probability(), 0.9);
  EXPECT_NEAR(growth.change(15, 30).value, 0.0, 0.03);
}

TEST(Growth, LearnsThatGammaGrows) {
  const Growth growth = fit_growth(drawn({10, 15, 20, 30, 45}, growing, 0.02, 4), kPrior);
  EXPECT_LT(growth.no_growth_probability(), 0.01);
  EXPECT_NEAR(growth.at(25).value, growing(25), 0.04);
  const Quantity change = growth.change(15, 30);
  EXPECT_NEAR(change.value, growing(30) - growing(15), 2.0 * change.u);
  EXPECT_LT(change.u, 0.05);
}

TEST(Growth, OneTimeLeavesThePriorsWidth) {
  const Growth growth = fit_growth(drawn({20}, growing, 0.02, 4), kPrior);
  EXPECT_NEAR(growth.no_growth_probability(), 0.5, 0.1);
  EXPECT_GT(growth.change(20, 40).u, 0.1);
  EXPECT_LT(growth.at(20).u, 0.03);
}

TEST(Growth, ChangesHoldTheirIntervals) {
  // Truths of both kinds in equal parts, rates drawn from a wider range than the prior's bulk.
  int inside = 0;
  constexpr int kDraws = 300;
  for (int i = 0; i < kDraws; ++i) {
    Random random(static_cast<std::uint64_t>(1000 + i));
    const bool grows = random.chance(0.5);
    const double rate = std::exp(random.uniform(std::log(0.02), std::log(0.15)));
    const double limit = random.uniform(1.0, 2.2);
    const auto truth = [&](double t) { return grows ? limit * (1.0 - std::exp(-rate * t)) : limit; };
    std::vector<TimedQuantity> values;
    for (const double t : {12.0, 18.0, 27.0}) values.push_back({t, {random.normal(truth(t), 0.05), 0.05}});
    const Quantity change = fit_growth(values, kPrior).change(18, 27);
    inside += std::abs(change.value - (truth(27) - truth(18))) <= 2.0 * change.u;
  }
  EXPECT_GE(inside, kDraws * 92 / 100);
}

// A curve as measured at one development time.
PlateCurve curve_at(double development_s, double gamma, double fog) {
  PlateCurve curve;
  curve.kind = PlateKind::negative;
  curve.development_s = development_s;
  curve.exposure_s = 10.0;
  curve.gamma = {gamma, 0.03};
  curve.fog = {fog, 0.01};
  curve.max_density = {0.05 + fog + 1.5 * gamma, 0.02};
  curve.model = {fog, 1.5 * gamma, 4.0, -1.0, 1.0};
  curve.steps = {{-2.0, 0.1, 0.01}, {-1.0, 0.8, 0.01}, {0.0, 1.6, 0.01}};
  return curve;
}

TEST(Development, OfSeveralCurvesIsFittedForEachQuantityByItself) {
  // Gamma and highlight stand still, fog grows with time: all three must be told.
  std::vector<PlateCurve> curves;
  for (const double time : {10.0, 20.0, 40.0}) curves.push_back(curve_at(time, 1.3, 0.004 * time));
  const auto model = fit_development(curves);
  ASSERT_TRUE(model.has_value());
  EXPECT_GT(model->gamma.no_growth_probability(), 0.7);
  EXPECT_LT(model->fog.no_growth_probability(), 0.2);
  EXPECT_GT(model->fog.change(10, 40).value, 0.06);
  EXPECT_NEAR(model->gamma.change(10, 40).value, 0.0, 2.0 * model->gamma.change(10, 40).u);
}

TEST(Development, NeedsANotedTime) {
  PlateCurve curve = curve_at(10.0, 1.3, 0.05);
  const auto one = fit_development(std::vector{curve});
  ASSERT_TRUE(one.has_value());
  EXPECT_NEAR(one->gamma.no_growth_probability(), 0.5, 0.1);  // the prior's half stays
  curve.development_s.reset();
  EXPECT_FALSE(fit_development(std::vector{curve}).has_value());
}

}  // namespace
}  // namespace platewise
