#include "values.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <clocale>

namespace platewise::cli {
namespace {

using ::testing::HasSubstr;

struct Row {
  const char* text;
  std::optional<double> value;
};

void expect_rows(Result<double> (*read)(std::string_view, const std::string&), const std::vector<Row>& rows) {
  for (const auto& [text, value] : rows) {
    const auto result = read(text, "--option");
    ASSERT_EQ(result.has_value(), value.has_value()) << text;
    if (value) {
      EXPECT_DOUBLE_EQ(*result, *value) << text;
    } else {
      EXPECT_THAT(result.error().message(), HasSubstr("--option: cannot understand")) << text;
    }
  }
}

TEST(Values, TimesAreReadAsPhotographersWriteThem) {
  expect_rows(time_s, {{"10s", 10.0},
                       {"10", 10.0},
                       {" 1.5 s ", 1.5},
                       {"1/4s", 0.25},
                       {"2min", 120.0},
                       {"1/2 min", 30.0},
                       {"90 SEC", 90.0},
                       {"", {}},
                       {"s", {}},
                       {"0s", {}},
                       {"-3s", {}},
                       {"ten", {}},
                       {"1/0s", {}},
                       {"10,5", {}},
                       {"1e99", {}},
                       {"inf", {}},
                       {"nan", {}},
                       {"0x10", {}}});
}

TEST(Values, AperturesAndMeterReadings) {
  expect_rows(f_number, {{"f/4", 4.0}, {"F5.6", 5.6}, {"8", 8.0}, {"f/", {}}, {"f/-2", {}}, {"4/f", {}}});
  expect_rows(exposure_value,
              {{"12", 12.0}, {"12.5EV", 12.5}, {"-3", -3.0}, {"+2 ev", 2.0}, {"EV", {}}, {"99", {}}});
}

// Trade sizes are the knowledge module's; a quarter plate is 3 1/4 x 4 1/4 inches.
TEST(Values, PlateSizesByNameOrByMeasure) {
  const auto quarter = plate_size("Quarter plate", "--plate-size");
  ASSERT_TRUE(quarter);
  EXPECT_NEAR(quarter->width, 82.55, 1e-9);
  EXPECT_NEAR(quarter->height, 107.95, 1e-9);
  EXPECT_EQ(quarter->name, "quarter");
  const auto metric = plate_size("16.5x21.6cm", "--plate-size");
  ASSERT_TRUE(metric);
  EXPECT_NEAR(metric->width, 165.0, 1e-9);
  EXPECT_FALSE(metric->name);
  EXPECT_NEAR(plate_size("6.5x8.5in", "--plate-size")->height, 215.9, 1e-9);
  for (const char* bad : {"", "165", "165x", "x216mm", "0x10mm", "-1x5", "huge", "9000x9000mm"}) {
    const auto size = plate_size(bad, "--plate-size");
    ASSERT_FALSE(size) << bad;
    EXPECT_THAT(size.error().message(), HasSubstr("quarter")) << "names what would be right";
  }
}

TEST(Values, CornersMayComeInAnyOrderButMustMakeAPlate) {
  const auto given = corners_px("100,0,0,0,0,50,100,50", "--corners");
  ASSERT_TRUE(given);
  EXPECT_EQ(*given, rectangle(100, 50));
  for (const char* bad : {"", "1,2,3", "0,0,1,1,2,2,3,3", "0,0,1,0,1,1,0,x", "0,0,0,0,0,0,0,0"}) {
    EXPECT_FALSE(corners_px(bad, "--corners")) << bad;
  }
}

TEST(Values, DecimalPointsDoNotDependOnTheLanguage) {
  const char* german = std::setlocale(LC_ALL, "de_DE.UTF-8");  // where it is installed
  EXPECT_DOUBLE_EQ(*number_in("1.5"), 1.5) << (german != nullptr ? german : "C");
  EXPECT_FALSE(number_in("1,5"));
  std::setlocale(LC_ALL, "C");
}

}  // namespace
}  // namespace platewise::cli
