#include "platewise/calibrate/calibrate_scanner.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "calibrate/drawn_wedge.h"

namespace platewise {
namespace {

using drawn::draw;
using drawn::even_densities;
using drawn::wedge_of;
using drawn::WedgeDrawing;

// Centres of the found steps lie on the drawn steps, clear end first.
void expect_on_the_steps(const FoundSteps& found, const WedgeDrawing& drawing) {
  ASSERT_EQ(found.steps.size(), drawing.densities.size());
  const double pitch = distance(drawn::centre_of(drawing, 0), drawn::centre_of(drawing, 1));
  for (std::size_t k = 0; k < found.steps.size(); ++k) {
    const Quad& outline = found.steps[k].outline_px;
    const Point centre = 0.25 * (outline[0] + outline[1] + outline[2] + outline[3]);
    EXPECT_LT(distance(centre, drawn::centre_of(drawing, static_cast<int>(k))), 0.4 * pitch) << k;
  }
}

double light(const WedgeDrawing& drawing, double density) {
  return drawing.flare + drawing.gain * std::pow(10.0, -drawing.contrast * density);
}

double rms_between_steps(const DeviceCurve& device, const WedgeDrawing& drawing) {
  double squares = 0.0;
  int count = 0;
  for (double density = std::max(0.05, device.range_min); density <= device.range_max; density += 0.02) {
    const double error = density_of(device, light(drawing, density)).value - density;
    squares += error * error;
    ++count;
  }
  return std::sqrt(squares / std::max(1, count));
}

struct Case {
  const char* name;
  WedgeDrawing drawing;
};
WedgeDrawing drawing(int count, double step, void (*change)(WedgeDrawing&)) {
  WedgeDrawing d;
  d.densities = even_densities(count, 0.05, step);
  d.width = 900;
  d.height = 560;
  change(d);
  return d;
}
class ScannedWedge : public testing::TestWithParam<Case> {};

TEST_P(ScannedWedge, GivesTheScannersCurve) {
  const WedgeDrawing& d = GetParam().drawing;
  const auto calibration = calibrate_scanner(draw(d), wedge_of(d.densities), {});
  ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
  expect_on_the_steps(calibration->found, d);
  // Targets of the issue: 0.02 D for 16 bits, 0.03 D for 8.
  const double target = d.bits == 8 ? 0.03 : 0.02;
  EXPECT_LT(calibration->left_out_rms, target);
  EXPECT_LT(rms_between_steps(calibration->device, d), target);
  EXPECT_NEAR(calibration->device.flare, d.flare, d.bits == 8 ? 0.001 : 0.0005);
  EXPECT_GE(calibration->device.range_max, d.bits == 8 ? 1.2 : 1.9);
}
INSTANTIATE_TEST_SUITE_P(
    Drawings, ScannedWedge,
    testing::Values(
        Case{"Plain", drawing(21, 0.15, [](WedgeDrawing&) {})},
        Case{"EightBitUpright",
             drawing(21, 0.15, [](WedgeDrawing& d) { d.bits = 8, d.turn_deg = 91.5, d.along_share = 0.5; })},
        Case{"BlackBedReversed",
             drawing(21, 0.15, [](WedgeDrawing& d) { d.surround_density = 3.2, d.turn_deg = 178; })},
        Case{"LinesAndNumbers",
             drawing(31, 0.1, [](WedgeDrawing& d) { d.lines = d.numbers = true, d.turn_deg = -2; })},
        Case{"FortyOneSteps",
             drawing(41, 0.05, [](WedgeDrawing& d) { d.along_share = 0.9, d.turn_deg = 1; })},
        Case{
            "DustyWithRim",
            drawing(11, 0.3, [](WedgeDrawing& d) { d.dust = 150, d.rim_share = 0.15, d.rim_density = 3.0; })},
        Case{"TenStepsAskew",
             drawing(10, 0.22,
                     [](WedgeDrawing& d) { d.turn_deg = 37, d.along_share = 0.5, d.numbers = true; })},
        Case{"Perspective", drawing(21, 0.15, [](WedgeDrawing& d) { d.perspective = 0.04, d.bits = 8; })}),
    [](const auto& row) { return std::string(row.param.name); });

TEST(ScannedWedgeLimits, EndsTheRangeWhereTheScannerIsBlind) {
  const WedgeDrawing d = drawing(21, 0.15, [](WedgeDrawing& w) { w.bits = 8, w.flare = 0.004; });
  const auto calibration = calibrate_scanner(draw(d), wedge_of(d.densities), {});
  ASSERT_TRUE(calibration.has_value());
  EXPECT_LT(calibration->device.range_max, 2.0);
  EXPECT_EQ(calibration->device.steps.size(),
            static_cast<std::size_t>(std::count(calibration->used.begin(), calibration->used.end(), true)));
  EXPECT_THAT(calibration->device.warnings, testing::Contains(testing::HasSubstr("left out")));
}

TEST(ScannedWedgeLimits, ABlankSheetEvensTheLight) {
  WedgeDrawing d = drawing(21, 0.15, [](WedgeDrawing& w) { w.light_fall = 0.35, w.flare = 0.0; });
  CalibrateScannerOptions options;
  options.flat = drawn::draw_blank(d);
  const auto even = calibrate_scanner(draw(d), wedge_of(d.densities), options);
  ASSERT_TRUE(even.has_value());
  EXPECT_TRUE(even->device.flat_fielded);
  // Whatever level the sheet sets: differences of density are right.
  const auto density = [&](double of) { return density_of(even->device, 0.8 * light(d, of)).value; };
  EXPECT_NEAR(density(1.5) - density(0.3), 1.2, 0.02);
}

TEST(ScannedWedgeLimits, SaysWhatIsWrong) {
  const WedgeDrawing d = drawing(21, 0.15, [](WedgeDrawing&) {});
  const Scan scan = draw(d);
  for (const int listed : {12, 17, 26, 31}) {
    const auto wrong = calibrate_scanner(scan, wedge_of(even_densities(listed, 0.05, 0.1)), {});
    ASSERT_FALSE(wrong.has_value()) << listed;
    EXPECT_THAT(wrong.error().what, testing::HasSubstr("steps")) << listed;
  }
  const auto blank = calibrate_scanner(drawn::draw_blank(d), wedge_of(d.densities), {});
  ASSERT_FALSE(blank.has_value());
  EXPECT_THAT(blank.error().what, testing::HasSubstr("no step wedge found"));
}

// A film's black border is often as dark as the densest step: its edge does not show, its tone tells.
TEST(ScannedWedgeLimits, TakesADensestStepThatItsGroundHidesOnlyIfItsToneIsForetold) {
  for (const bool eight_bit : {false, true}) {
    WedgeDrawing d = drawing(11, 0.3, [](WedgeDrawing& w) { w.surround_density = 3.05; });
    d.bits = eight_bit ? 8 : 16;
    const auto right = calibrate_scanner(draw(d), wedge_of(d.densities), {});
    ASSERT_TRUE(right.has_value()) << right.error().message();
    EXPECT_LT(rms_between_steps(right->device, d), 0.02);
    EXPECT_FALSE(calibrate_scanner(draw(d), wedge_of(even_densities(12, 0.05, 0.3)), {}).has_value());
  }
}

// The wedge files that may come with a scan by mistake, from the true one.
std::vector<std::pair<std::string, std::vector<double>>> wrong_files(const std::vector<double>& right) {
  const auto shortened = [&](int first, int last) {
    return std::vector<double>(right.begin() + first, right.end() - last);
  };
  const double step = right[1] - right[0];
  auto one_more = right;
  one_more.push_back(right.back() + step);
  auto two_more = one_more;
  two_more.push_back(right.back() + 2.0 * step);
  const int count = static_cast<int>(right.size());
  const auto same_range = [&](int other) {
    return even_densities(other, right.front(), (right.back() - right.front()) / (other - 1));
  };
  return {{"last row missing", shortened(0, 1)},
          {"last two rows missing", shortened(0, 2)},
          {"first row missing", shortened(1, 0)},
          {"first two rows missing", shortened(2, 0)},
          {"both ends missing", shortened(1, 1)},
          {"a row more", one_more},
          {"two rows more", two_more},
          {"one less over the same range", same_range(count - 1)},
          {"one more over the same range", same_range(count + 1)}};
}

struct Counted {
  const char* name;
  int count;
  double step;
  void (*change)(WedgeDrawing&);
};
class WedgeOfAnotherCount : public testing::TestWithParam<Counted> {};

// All steps of these drawings are seen, and the ground has not the tone of one more step: the count is plain.
TEST_P(WedgeOfAnotherCount, IsRefusedAndTheRightOneTaken) {
  const Counted& row = GetParam();
  WedgeDrawing d = drawing(row.count, row.step, row.change);
  d.flare = 0.0005;
  const Scan scan = draw(d);
  const auto right = calibrate_scanner(scan, wedge_of(d.densities), {});
  ASSERT_TRUE(right.has_value()) << right.error().message();
  expect_on_the_steps(right->found, d);
  for (const auto& [name, densities] : wrong_files(d.densities)) {
    const auto wrong = calibrate_scanner(scan, wedge_of(densities), {});
    ASSERT_FALSE(wrong.has_value()) << name;
    EXPECT_THAT(wrong.error().what, testing::HasSubstr(std::to_string(densities.size()) + " steps")) << name;
  }
}
INSTANTIATE_TEST_SUITE_P(
    Drawings, WedgeOfAnotherCount,
    testing::Values(
        Counted{"TenOnWhite", 10, 0.2, [](WedgeDrawing& d) { d.surround_density = 0.0; }},
        Counted{"TenUprightOnBlack", 10, 0.2,
                [](WedgeDrawing& d) { d.surround_density = 3.2, d.turn_deg = 91, d.along_share = 0.55; }},
        Counted{"TwentyOnWhite", 20, 0.1,
                [](WedgeDrawing& d) { d.surround_density = 0.0, d.turn_deg = -1.5; }},
        Counted{"TwentyOneReversedOnGrey", 21, 0.1,
                [](WedgeDrawing& d) { d.surround_density = 0.6, d.turn_deg = 181; }},
        Counted{"TwentyOneEightBitUpright", 21, 0.08,
                [](WedgeDrawing& d) {
                  d.bits = 8, d.turn_deg = 271, d.along_share = 0.55, d.surround_density = 0.9;
                }},
        Counted{"TwentyOneWithLines", 21, 0.1, [](WedgeDrawing& d) { d.lines = true, d.dust = 60; }},
        // Film: the clear rim has the tone of the clear step.
        Counted{"TwentyOneWithClearRim", 21, 0.1,
                [](WedgeDrawing& d) { d.rim_share = 0.5, d.rim_density = 0.05, d.surround_density = 3.2; }},
        Counted{"ThirtyOneOnBlack", 31, 0.07, [](WedgeDrawing& d) { d.surround_density = 3.2; }},
        Counted{"FortyOneOnGrey", 41, 0.05,
                [](WedgeDrawing& d) { d.surround_density = 1.0, d.along_share = 0.9; }}),
    [](const auto& row) { return std::string(row.param.name); });

// Where the clear steps and their ground are burnt out alike, nobody sees how many there are: taken, and
// said.
TEST(ScannedWedgeLimits, SaysWhereTheCountCannotBeSeen) {
  const WedgeDrawing d = drawing(21, 0.1, [](WedgeDrawing& w) { w.gain = 1.4; });
  const auto burnt = calibrate_scanner(draw(d), wedge_of(d.densities), {});
  ASSERT_TRUE(burnt.has_value()) << burnt.error().message();
  EXPECT_THAT(burnt->device.warnings, testing::Contains(testing::HasSubstr("a row too many or too few")));
  const WedgeDrawing whole = drawing(21, 0.1, [](WedgeDrawing&) {});
  const auto seen = calibrate_scanner(draw(whole), wedge_of(whole.densities), {});
  ASSERT_TRUE(seen.has_value());
  EXPECT_THAT(seen->device.warnings,
              testing::Not(testing::Contains(testing::HasSubstr("a row too many or too few"))));
}

// Dense steps that look like their ground hide how many there are. Whatever the wedge file lists then, it is
// refused or doubted, never taken without a word.
class HiddenDenseEnd : public testing::TestWithParam<double> {};
TEST_P(HiddenDenseEnd, NoOtherCountIsTakenSilently) {
  WedgeDrawing d = drawing(31, 0.1, [](WedgeDrawing&) {});
  d.surround_density = GetParam();
  d.flare = 0.004;
  const Scan scan = draw(d);
  const auto doubted = testing::Contains(testing::AnyOf(testing::HasSubstr("check that the wedge has"),
                                                        testing::HasSubstr("check that the file belongs")));
  EXPECT_TRUE(calibrate_scanner(scan, wedge_of(d.densities), {}).has_value());
  for (const auto& [name, densities] : wrong_files(d.densities)) {
    const auto calibration = calibrate_scanner(scan, wedge_of(densities), {});
    if (calibration) {
      EXPECT_THAT(calibration->device.warnings, doubted) << name;
    }
  }
}
INSTANTIATE_TEST_SUITE_P(GroundDensity, HiddenDenseEnd, testing::Values(2.95, 3.05, 3.15, 3.4));

TEST(ScannedWedgeLimits, TheDenseEndIsNotDoubtedOnALightGround) {
  const WedgeDrawing d = drawing(21, 0.1, [](WedgeDrawing& w) { w.surround_density = 0.0; });
  const auto calibration = calibrate_scanner(draw(d), wedge_of(d.densities), {});
  ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
  EXPECT_THAT(calibration->device.warnings, testing::Not(testing::Contains(testing::HasSubstr("dense end"))));
}

// A bare bed is often as much lighter than a fine wedge's clear step as that is than the next: also said.
TEST(ScannedWedgeLimits, SaysWhereTheBedLooksLikeOneMoreStep) {
  const WedgeDrawing d = drawing(41, 0.05, [](WedgeDrawing& w) { w.along_share = 0.9; });
  for (const int first : {0, 1}) {
    const auto calibration =
        calibrate_scanner(draw(d), wedge_of({d.densities.begin() + first, d.densities.end()}), {});
    if (first == 0) {
      ASSERT_TRUE(calibration.has_value()) << calibration.error().message();
    }
    if (calibration) {
      EXPECT_THAT(calibration->device.warnings, testing::Contains(testing::HasSubstr("one more step")));
    }
  }
}

}  // namespace
}  // namespace platewise
