#include "platewise/recommend/recommend.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numeric>
#include <string>

#include "platewise/recommend/cautions_to_show.h"
#include "platewise/stats/random.h"

namespace platewise {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

// Silver of margin, floor, mid-tone, highlight as an uncalibrated scan shows them.
Tones plate(double margin, double floor, double midtone, double highlight, double u = 0.03,
            double offset = 0.0) {
  const auto at = [&](double silver) { return Quantity{1.35 - silver + offset, 0.25}; };
  return {.support_density = at(0.0),
          .support_seen = true,
          .margin_density = at(margin),
          .floor_density = at(floor),
          .fog = Quantity{floor, u},
          .margin_fog = Quantity{margin, u},
          .floor_over_margin = Quantity{floor - margin, u},
          .midtone_density = at(midtone),
          .highlight_density = at(highlight),
          .range = Quantity{highlight - floor, u}};
}

Tones dull_plate() {
  return plate(0.05, 0.06, 0.20, 0.55);
}

Recommendation advice_for(const Tones& tones, const RecommendOptions& options = {}) {
  const auto advice = recommend(tones, options);
  EXPECT_TRUE(advice.has_value());
  return *advice;
}

TEST(Recommend, IsEmptyOnlyWithoutAnyTone) {
  EXPECT_FALSE(recommend({}, {}).has_value());
  EXPECT_TRUE(recommend({.range = Quantity{0.5, 0.1}}, {}).has_value());
}

TEST(Recommend, SaysTheSameEachTime) {
  const RecommendOptions options{.settings = {.exposure_s = 4.0}};
  const Recommendation one = advice_for(dull_plate(), options);
  const Recommendation two = advice_for(dull_plate(), options);
  EXPECT_EQ(one.exposure.change, two.exposure.change);
  EXPECT_EQ(one.probability, two.probability);
  EXPECT_EQ(one.because, two.because);
}

TEST(Recommend, DoesNotHangOnTheOffsetOfAnUncalibratedScan) {
  const Tones dark = plate(0.05, 0.12, 0.45, 0.80, 0.03, 0.2);
  const Tones light = plate(0.05, 0.12, 0.45, 0.80, 0.03, -0.2);
  EXPECT_EQ(advice_for(dark).exposure.change, advice_for(light).exposure.change);
}

TEST(Recommend, ProbabilitiesAddUpAndTheWordIsTheLikeliest) {
  for (const double highlight : {0.2, 0.5, 0.8, 0.95}) {
    const Recommendation advice = advice_for(plate(0.06, 0.1, 0.5 * highlight, highlight));
    const auto& p = advice.probability;
    EXPECT_NEAR(std::accumulate(p.begin(), p.end(), 0.0), 1.0, 1e-9);
    EXPECT_EQ(p[static_cast<std::size_t>(advice.diagnosis)], *std::max_element(p.begin(), p.end()));
  }
}

TEST(Recommend, DullerWhitesNeverMeanMoreLightWasGiven) {
  double last = -10.0;
  for (const double highlight : {0.25, 0.4, 0.55, 0.7, 0.85}) {
    const double error =
        advice_for(plate(0.06, 0.07, 0.07 + 0.4 * (highlight - 0.07), highlight)).exposure_error_stops;
    EXPECT_GE(error, last - 0.05) << highlight;
    last = error;
  }
}

TEST(Recommend, MoreVeiledMarginsNeverMeanShorterDevelopment) {
  double last = -10.0;
  for (const double margin : {0.01, 0.06, 0.12, 0.2}) {
    const Recommendation advice = advice_for(plate(margin, margin + 0.06, 0.5, 0.85));
    EXPECT_GE(advice.veil_density, last - 0.005) << margin;
    EXPECT_LE(advice.development.change, margin > 0.1 ? 0.0 : 100.0) << margin;
    last = advice.veil_density;
  }
}

TEST(Recommend, TheChangeLiesInItsInterval) {
  for (const double highlight : {0.1, 0.3, 0.6, 0.9}) {
    const Recommendation advice = advice_for(plate(0.1, 0.12, 0.2, highlight));
    EXPECT_LE(advice.exposure.low, advice.exposure.change);
    EXPECT_GE(advice.exposure.high, advice.exposure.change);
    EXPECT_LE(advice.development.low, advice.development.change);
    EXPECT_GE(advice.development.high, advice.development.change);
  }
}

TEST(Recommend, WorseMeasuredTonesGiveAWiderRange) {
  const auto width = [](double u) {
    const Change change = advice_for(plate(0.05, 0.06, 0.20, 0.55, u)).exposure;
    return change.high - change.low;
  };
  EXPECT_LT(width(0.02), width(0.15));
}

PlateCurve own_curve(double largest) {
  return {
      .kind = PlateKind::tintype,
      .development_s = 18.0,
      .fog = {0.06, 0.01},
      .max_density = {1.29, 0.02},
      .min_density = {1.35 - largest, 0.02},
      .model = {.fog = 0.06, .amplitude = largest - 0.06, .slope = 5.0, .middle = -0.5, .asymmetry = 1.0}};
}

bool offers_strip_plate(const Recommendation& advice) {
  return std::any_of(advice.alternatives.begin(), advice.alternatives.end(),
                     [](const std::string& way) { return way.starts_with("Make a strip plate"); });
}

// Handbook, process.md section 5: "Never propose more than +-1.5 stop from one plate"; contract: with a curve
// up to 3, and beyond 1.5 the strip plate stands among the alternatives. Held by any tones, kind, seed, leak.
TEST(Recommend, NeverProposesMoreThanOnePlateCanTell) {
  Random random(8001);
  for (int i = 0; i < 60; ++i) {
    const bool positive = random.chance(0.5);
    const double most = positive ? 1.1 : 2.2;
    const double margin = random.uniform(0.0, 0.3);
    const double floor = margin + random.uniform(0.0, 1.0) * random.uniform() * (most - margin);
    const double highlight = floor + random.uniform() * (most - floor);
    const double midtone = floor + random.uniform() * (highlight - floor);
    Tones tones = plate(margin, floor, midtone, highlight, random.uniform(0.01, 0.1));
    if (!positive) {
      for (auto* density : {&tones.support_density, &tones.margin_density, &tones.floor_density,
                            &tones.midtone_density, &tones.highlight_density}) {
        (*density)->value = 2.7 - (*density)->value;
      }
    }
    const PlateKind kind = positive ? PlateKind::tintype : PlateKind::negative;
    RecommendOptions options{.kind = kind,
                             .settings = {.exposure_s = 8.0},
                             .light_leak = random.chance(0.2),
                             .draws = 300,
                             .seed = static_cast<std::uint64_t>(i)};
    const Recommendation without = advice_for(tones, options);
    EXPECT_LE(std::abs(without.exposure.change), 1.5 + 1e-9) << i;
    options.curves = {own_curve(positive ? 0.9 : 1.7)};
    options.curves[0].kind = kind;
    const Recommendation with = advice_for(tones, options);
    EXPECT_LE(std::abs(with.exposure.change), 3.0 + 1e-9) << i;
    for (const Recommendation& advice : {without, with}) {
      EXPECT_TRUE(std::abs(advice.exposure.change) <= 1.5 + 1e-9 || offers_strip_plate(advice)) << i;
    }
  }
}

TEST(Recommend, WithACurveMoreThanOneAndAHalfStopsStandBesideTheStripPlate) {
  RecommendOptions options{.settings = {.exposure_s = 2.0, .development_s = 18.0}};
  options.curves = {own_curve(0.90)};
  const Recommendation advice = advice_for(plate(0.06, 0.06, 0.07, 0.20, 0.02), options);
  EXPECT_GT(advice.exposure.change, 1.5);
  EXPECT_TRUE(offers_strip_plate(advice));
}

TEST(Recommend, AFoggedPlateIsOfferedRestrainerAndAFresherBath) {
  const Recommendation advice =
      advice_for(plate(0.30, 0.36, 0.60, 0.90), {.settings = {.exposure_s = 8.0, .development_s = 15.0}});
  ASSERT_EQ(advice.diagnosis, Diagnosis::fogged);
  EXPECT_THAT(advice.alternatives, Contains(HasSubstr("More restrainer")));
  EXPECT_THAT(advice.alternatives, Contains(HasSubstr("less restrainer")));
  EXPECT_THAT(advice.alternatives, Contains(HasSubstr("A fresher bath")));
  const auto cautions = cautions_to_show(advice, {}, {.exposure_s = 8.0});
  EXPECT_THAT(cautions, Contains(HasSubstr("Add acid to water")));
  EXPECT_THAT(cautions, Contains(HasSubstr("Silver nitrate bath")));
}

TEST(Recommend, TheTimeMakesUpForWhatLongExposuresLose) {
  RecommendOptions options{.settings = {.exposure_s = 30.0}};
  const Recommendation plain = advice_for(dull_plate(), options);
  options.settings.schwarzschild_p = 0.8;
  const Recommendation slow = advice_for(dull_plate(), options);
  EXPECT_EQ(plain.exposure.change, slow.exposure.change);
  EXPECT_NEAR(*slow.exposure.to_exact_s, 30.0 * std::exp2(slow.exposure.change / 0.8), 1e-9);
  EXPECT_THAT(slow.because, Contains(HasSubstr("exponent 0.80")));
}

// Two plates of one set-up that differ only by the draw say the same as two that differ by the aperture that
// lets through as much.
TEST(Recommend, AnotherDrawOfTheCameraIsLessLight) {
  const Tones now = plate(0.06, 0.10, 0.45, 0.80);
  const Tones before = plate(0.06, 0.07, 0.22, 0.50);
  RecommendOptions by_draw{.settings = {.exposure_s = 8.0, .development_s = 18.0, .bellows_ratio = 1.0}};
  by_draw.earlier = {{before, {.exposure_s = 8.0, .development_s = 18.0, .bellows_ratio = 1.5}}};
  RecommendOptions by_lens{.settings = {.exposure_s = 8.0, .development_s = 18.0, .aperture = 4.0}};
  by_lens.earlier = {{before, {.exposure_s = 8.0, .development_s = 18.0, .aperture = 6.0}}};
  EXPECT_EQ(advice_for(now, by_draw).exposure.change, advice_for(now, by_lens).exposure.change);
  EXPECT_EQ(advice_for(now, by_draw).exposure.low, advice_for(now, by_lens).exposure.low);
  EXPECT_THAT(advice_for(before, {.settings = {.exposure_s = 8.0, .bellows_ratio = 2.0}}).because,
              Contains(HasSubstr("loses 2.0 stops")));
}

TEST(Recommend, APlateThatSaysTooLittleGetsTheStripPlateFirst) {
  const Recommendation black = advice_for(plate(0.05, 0.05, 0.05, 0.06), {.settings = {.exposure_s = 4.0}});
  ASSERT_FALSE(black.alternatives.empty());
  EXPECT_THAT(black.alternatives.front(), HasSubstr("strip plate"));
}

TEST(Recommend, TimesAreOnesAHandCanDoAndTheExactOnesStandBeside) {
  const Recommendation advice =
      advice_for(dull_plate(), {.settings = {.exposure_s = 3.0, .development_s = 17.0}});
  ASSERT_TRUE(advice.exposure.to_s && advice.exposure.to_exact_s);
  EXPECT_NEAR(*advice.exposure.to_exact_s, 3.0 * std::exp2(advice.exposure.change), 1e-9);
  EXPECT_DOUBLE_EQ(2.0 * *advice.exposure.to_s, std::round(2.0 * *advice.exposure.to_s));
  EXPECT_NEAR(*advice.development.to_exact_s, 17.0 * (1.0 + advice.development.change / 100.0), 1e-9);
  EXPECT_FALSE(advice_for(dull_plate()).exposure.to_s.has_value());
}

TEST(Recommend, OffersTheLensInsteadOfTime) {
  const Recommendation advice = advice_for(dull_plate(), {.settings = {.exposure_s = 4.0, .aperture = 5.6}});
  EXPECT_GT(advice.exposure.change, 0.3);
  EXPECT_THAT(advice.alternatives, Contains(HasSubstr("open the lens from f/5.6 to f/")));
}

// Handbook, process.md 5a, P10: keep exposure and development; fix the leak or shade the lens.
TEST(Recommend, ALightLeakIsNotAnsweredWithExposure) {
  const Recommendation advice = advice_for(plate(0.06, 0.35, 0.6, 0.88), {.light_leak = true});
  EXPECT_EQ(advice.diagnosis, Diagnosis::fogged);
  EXPECT_EQ(advice.exposure.change, 0.0);
  EXPECT_EQ(advice.development.change, 0.0);
  EXPECT_THAT(advice.alternatives.front(), HasSubstr("Mend the leak first"));
}

// Handbook, process.md 5a, P6: one stop less of an over-exposed plate, one and a half if the lights are blue.
TEST(Recommend, BlueLightsSpeakForFarTooMuchLight) {
  for (const Tones& tones : {plate(0.05, 0.32, 0.68, 0.86), plate(0.05, 0.32, 0.68, 0.78)}) {
    const Recommendation plain = advice_for(tones);
    const Recommendation blue = advice_for(tones, {.blue_lights = true});
    EXPECT_LT(blue.exposure.change, plain.exposure.change);
    EXPECT_LE(blue.exposure.change, -1.2);
    EXPECT_GE(blue.exposure.change, -1.5);
    EXPECT_THAT(blue.because, Contains(HasSubstr("turned blue")));
  }
}

TEST(Recommend, AnEarlierPlateOfTheSeriesNarrowsTheRange) {
  const Tones now = plate(0.06, 0.10, 0.45, 0.80);
  RecommendOptions options{.settings = {.exposure_s = 8.0, .development_s = 18.0, .meter_ev = 12.0}};
  const Change alone = advice_for(now, options).exposure;
  options.earlier.push_back(
      {plate(0.06, 0.07, 0.22, 0.50), {.exposure_s = 4.0, .development_s = 18.0, .meter_ev = 12.0}});
  const Change with_series = advice_for(now, options).exposure;
  EXPECT_LT(with_series.high - with_series.low, alone.high - alone.low);
}

// The notes stand for a meter, less surely. Two stops less light and twice the time: the earlier plate had
// two stops more of light and one less of time.
TEST(Recommend, AnEarlierPlateIsReadByTheNotedLight) {
  const Tones now = plate(0.06, 0.10, 0.45, 0.80);
  const auto advice = [&](const std::string& then_note, const std::string& now_note,
                          std::optional<double> meter = std::nullopt) {
    RecommendOptions options{.settings = {.exposure_s = 8.0, .development_s = 18.0, .meter_ev = meter},
                             .note = now_note};
    options.earlier.push_back({plate(0.06, 0.10, 0.45, 0.80),
                               {.exposure_s = 2.0, .development_s = 18.0, .meter_ev = meter},
                               then_note});
    return advice_for(now, options);
  };
  const Recommendation told = advice("Full sun, new bottle", "dull now, overcast");
  EXPECT_THAT(told.because, Contains(HasSubstr("full sun then and overcast now: 2.0 stops less light")));
  // The two plates look alike: by the notes they had as much light; without them two stops made no
  // difference, as where the lights are blocked.
  const Recommendation untold = advice("", "");
  EXPECT_THAT(untold.because, Not(Contains(HasSubstr("you noted"))));
  EXPECT_LT(told.exposure_error_stops, untold.exposure_error_stops);
  // A word alone, words that are the same or meter readings change nothing.
  const Recommendation alone = advice("full sun", "");
  EXPECT_EQ(alone.exposure.low, untold.exposure.low);
  const Recommendation metered = advice("full sun", "overcast", 12.0);
  EXPECT_THAT(metered.because, Not(Contains(HasSubstr("you noted"))));
}

// A cold developer works slowly: a clear margin then says less of the time. This plate's own fog is hardly
// known.
TEST(Recommend, AnEarlierPlatesFogIsReadByItsTemperature) {
  const Tones now = plate(0.06, 0.10, 0.45, 0.80, 0.15);
  const auto development_after = [&](std::optional<double> earlier_c) {
    RecommendOptions options{
        .settings = {.exposure_s = 8.0, .development_s = 18.0, .meter_ev = 12.0, .temperature_c = 20.0}};
    options.earlier.push_back(
        {plate(0.03, 0.06, 0.42, 0.78, 0.02),
         {.exposure_s = 8.0, .development_s = 18.0, .meter_ev = 12.0, .temperature_c = earlier_c}});
    const Change needed = advice_for(now, options).development;  // percent
    return 0.5 * (needed.low + needed.high);
  };
  const double as_warm = development_after(20.0);
  EXPECT_EQ(development_after(std::nullopt), as_warm);
  EXPECT_LT(development_after(10.0), as_warm - 10.0);
  EXPECT_GT(development_after(28.0), as_warm + 5.0);
}

TEST(Recommend, SaysWhichTemperatureTheTimeIsFor) {
  const auto because = [](std::optional<double> celsius) {
    return advice_for(dull_plate(), {.settings = {.development_s = 18.0, .temperature_c = celsius}}).because;
  };
  EXPECT_THAT(because(14.0), Contains(HasSubstr("14 \u00b0C")));
  EXPECT_THAT(because(std::nullopt), Not(Contains(HasSubstr("\u00b0C"))));
}

TEST(Recommend, TheOwnCurveNarrowsTheRangeAndSetsTheAim) {
  const Tones tones = plate(0.06, 0.09, 0.40, 0.72, 0.02);
  RecommendOptions options{.settings = {.exposure_s = 8.0, .development_s = 18.0}};
  const Change alone = advice_for(tones, options).exposure;
  options.curves = {own_curve(0.80)};
  const Recommendation white_enough = advice_for(tones, options);
  options.curves = {own_curve(1.10)};
  const Recommendation dull = advice_for(tones, options);
  EXPECT_LT(white_enough.exposure.high - white_enough.exposure.low, alone.high - alone.low);
  // 0.72 is 90% of 0.80: right, and well short of 90% of 1.10.
  EXPECT_NEAR(white_enough.exposure_error_stops, 0.0, 0.35);
  EXPECT_LT(dull.exposure_error_stops, -0.7);
}

TEST(Recommend, ReasonsCarryTheMeasuredNumbers) {
  const Recommendation advice = advice_for(plate(0.16, 0.20, 0.5, 0.85));
  EXPECT_THAT(advice.because, Contains(HasSubstr("0.16 \u00b10.03 D")));
  EXPECT_THAT(advice.because, Contains(HasSubstr("aim is 90%")));
}

TEST(Recommend, TheMarginsVeilIsJudgedByItsDistanceFromTheAimAndItsU) {
  struct Row {
    double margin;
    double u;
    const char* reading;
  };
  for (const Row& row : {Row{0.01, 0.01, "may go on a little longer"},
                         Row{0.06, 0.01, "about as it should be"}, Row{0.09, 0.04, "about as it should be"},
                         Row{0.09, 0.01, "a little more than is right"}, Row{0.13, 0.01, "too much"}}) {
    const Recommendation advice = advice_for(plate(row.margin, row.margin + 0.02, 0.45, 0.80, row.u));
    EXPECT_THAT(advice.because, Contains(HasSubstr(row.reading))) << row.margin << " +- " << row.u;
  }
}

TEST(CautionsToShow, StandBesideEachRemedyThatNeedsThem) {
  const PlateSettings noted{.exposure_s = 4.0};
  Recommendation advice;
  EXPECT_THAT(cautions_to_show(advice, {}, noted), IsEmpty());
  advice.development.change = -20.0;
  EXPECT_THAT(cautions_to_show(advice, {}, noted), SizeIs(2));
  advice.exposure.change = 1.0;
  EXPECT_THAT(cautions_to_show(advice, {}, noted), Contains(HasSubstr("Comfort and consent")));
  EXPECT_THAT(cautions_to_show(advice, {}, {}), Contains(HasSubstr("Ask a conservator")));
  const Faults stained{.found = {Fault{.id = "iron_stain"}}};
  EXPECT_THAT(cautions_to_show(advice, stained, noted).front(), HasSubstr("beside cyanide"));
}

}  // namespace
}  // namespace platewise
