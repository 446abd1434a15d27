#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "platewise/sensitometry/fit_curve.h"
#include "platewise/sensitometry/speed.h"
#include "published/published.h"

namespace platewise {
namespace {

using published::Numbers;
constexpr double kLn10 = std::numbers::ln10;

// The published files write the logistic with 10^(-slope (x - centre)).
CurveModel logistic(double fog, double range, double slope, double centre) {
  return {fog, range, slope * kLn10, centre, 1.0};
}
const CurveModel kKnown = logistic(0.12, 1.80, 1.9, -1.40);  // curve_known_answer.csv

double speed_point(const CurveModel& model) {
  return model.log_exposure_for(model.fog + 0.10);
}

TEST(CurveModel, ReadsTheKnownCurve) {
  // Header of curve_known_answer.csv: closed forms, 12 digits.
  EXPECT_NEAR(kKnown.gamma(), 1.96871025451, 1e-10);
  EXPECT_NEAR(kKnown.silver(kKnown.steepest_log_exposure()), 1.02, 1e-12);
  const double hm = std::pow(10.0, speed_point(kKnown));
  EXPECT_NEAR(hm, 0.00896180117577, 1e-13);
  EXPECT_NEAR(iso_speed(hm), 89.2677693143, 1e-8);
  const double rise = kKnown.silver(speed_point(kKnown) + 1.30) - kKnown.silver(speed_point(kKnown));
  EXPECT_NEAR(rise, 1.60196107413, 1e-10);
  EXPECT_NEAR(rise / 1.30, 1.23227774933, 1e-10);
  EXPECT_NEAR(kKnown.inertia_log_exposure(), -1.85715208621, 1e-10);
  EXPECT_NEAR(hurter_driffield_speed(std::pow(10.0, kKnown.inertia_log_exposure())), 2446.98328781, 1e-6);
  EXPECT_NEAR(log_exposure_range(kKnown), 1.36720799259, 1e-10);
  for (const auto& row : published::csv("curve_known_answer.csv")) {
    EXPECT_NEAR(kKnown.silver(std::stod(row[1])), std::stod(row[2]), 1e-10);
  }
}

TEST(CurveModel, GradientAndInverseAgreeWithTheCurve) {
  for (const double asymmetry : {0.2, 1.0, 4.0}) {
    const CurveModel model{0.1, 1.5, 3.0, 0.4, asymmetry};
    for (double x = -1.5; x < 2.5; x += 0.1) {
      EXPECT_NEAR(model.gradient(x), (model.silver(x + 1e-5) - model.silver(x - 1e-5)) / 2e-5, 1e-8);
      EXPECT_NEAR(model.log_exposure_for(model.silver(x)), x, 1e-8);
      EXPECT_LE(model.gradient(x), model.gamma() + 1e-12);
    }
    EXPECT_TRUE(std::isnan(model.log_exposure_for(1.61)));
    EXPECT_TRUE(std::isnan(model.log_exposure_for(0.1)));
    EXPECT_TRUE(std::isfinite(model.silver(-400.0)) && std::isfinite(model.gradient(-400.0)));
  }
}

TEST(FitModel, FindsTheKnownCurve) {
  Numbers x;
  Numbers density;
  for (const auto& row : published::csv("curve_known_answer.csv")) {
    x.push_back(std::stod(row[1]));
    density.push_back(std::stod(row[2]));
  }
  const ModelFit fit = fit_model(x, density, {0.1, 2.0, 3.0, -1.2, 1.3});
  ASSERT_TRUE(fit.converged);
  EXPECT_NEAR(fit.model.fog, kKnown.fog, 1e-6);
  EXPECT_NEAR(fit.model.amplitude, kKnown.amplitude, 1e-6);
  EXPECT_NEAR(fit.model.slope / kLn10, 1.9, 1e-6);
  EXPECT_NEAR(fit.model.middle, -1.40, 1e-6);
  EXPECT_NEAR(fit.model.asymmetry, 1.0, 1e-6);
}

class NoisyCurve : public testing::Test {
 protected:
  // curve_fit_noisy.json: general nonlinear least squares of another library; tolerances as stated there.
  const nlohmann::json data = published::json("curve_fit_noisy.json");
  const Numbers x = data["x"];
  const Numbers density = data["D"];
  const CurveModel start = logistic(0.1, 1.7, 1.7, -1.5);

  void expect_near(Quantity value, const char* name) const {
    const auto& expected = data["derived"][name];
    EXPECT_NEAR(value.value, expected["value"], 1e-5) << name;
    EXPECT_NEAR(value.u, expected["u"].get<double>(), 0.01 * expected["u"].get<double>()) << name;
  }
};

TEST_F(NoisyCurve, GivesTheSameParametersAndStandardErrors) {
  const ModelFit fit = fit_model(x, density, start, {.symmetric = true});
  const Numbers values = data["fit"]["values"];
  const Numbers errors = data["fit"]["standard_errors"];
  EXPECT_NEAR(fit.model.fog, values[0], 1e-6);
  EXPECT_NEAR(fit.model.amplitude, values[1], 1e-6);
  EXPECT_NEAR(fit.model.slope / kLn10, values[2], 1e-6);
  EXPECT_NEAR(fit.model.middle, values[3], 1e-6);
  const Eigen::Vector4d scale(1.0, 1.0, 1.0 / kLn10, 1.0);
  for (Eigen::Index i = 0; i < 4; ++i) {
    const double expected = errors[static_cast<std::size_t>(i)];
    EXPECT_NEAR(std::sqrt(fit.covariance(i, i)) * scale(i), expected, 1e-4 * expected);
  }
  EXPECT_NEAR(fit.residual_sd, data["fit"]["residual_sd"], 1e-8);
}

TEST_F(NoisyCurve, CarriesTheUncertaintyToWhatAPhotographerReads) {
  const ModelFit fit = fit_model(x, density, start, {.symmetric = true});
  expect_near(from_fit(fit, [](const CurveModel& m) { return m.gamma(); }), "gamma");
  expect_near(from_fit(fit, speed_point), "log_h_at_0_10_over_fog");
  expect_near(from_fit(fit, [](const CurveModel& m) { return m.inertia_log_exposure(); }), "inertia_log_h");
  expect_near(from_fit(fit, log_exposure_range), "log_range");
  expect_near(from_fit(fit, [](const CurveModel& m) { return m.fog + m.amplitude; }), "dmax");
}

TEST_F(NoisyCurve, OneWildStepHardlyMovesARobustFit) {
  Numbers soiled = density;
  soiled[data["with_outlier"]["index_from_0"]] += 0.35;
  const ModelFit fit = fit_model(x, soiled, start, {.symmetric = true, .huber_reach = 0.02});
  const Numbers expected = data["with_outlier"]["huber_0_02"];
  EXPECT_NEAR(fit.model.fog, expected[0], 1e-3);
  EXPECT_NEAR(fit.model.amplitude, expected[1], 1e-3);
  EXPECT_NEAR(fit.model.slope / kLn10, expected[2], 1e-3);
  EXPECT_NEAR(fit.model.middle, expected[3], 1e-3);
}

TEST(CurveModel, TurnsADensityErrorIntoStops) {
  // recommendation_arithmetic.json, from_curve: closed forms, 1e-8.
  for (const auto& row : published::json("recommendation_arithmetic.json")["from_curve"]["examples"]) {
    const double shift =
        kKnown.log_exposure_for(row["density_wanted"]) - kKnown.log_exposure_for(row["density_now"]);
    EXPECT_NEAR(shift, row["shift_log_h"], 1e-8);
    EXPECT_NEAR(stops_from_log_exposure(shift), row["stops"], 1e-8);
    EXPECT_NEAR(row["time_now_s"].get<double>() * std::pow(10.0, shift), row["time_next_s"], 1e-7);
  }
}

}  // namespace
}  // namespace platewise
