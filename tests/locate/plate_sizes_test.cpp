#include "platewise/knowledge/plate_sizes.h"

#include <gtest/gtest.h>

#include <string>

namespace platewise {
namespace {

// Millimetres as printed in the handbook's number table (rows "plate size"), from the reference page on
// 19th-century plate sizes, a present-day forum list, British standard lists and common practice.
struct Row {
  const char* name;
  double short_mm, long_mm;
};
constexpr Row kHandbook[] = {
    {"whole", 165.1, 215.9},   {"half", 107.9, 139.7},  {"quarter", 82.5, 107.9},
    {"sixth", 69.8, 82.5},     {"ninth", 50.8, 63.5},   {"sixteenth", 34.9, 41.3},
    {"eighth", 54.0, 82.6},    {"gem", 19.0, 25.0},     {"english_half", 120.7, 165.1},
    {"mammoth", 457.0, 559.0}, {"4x5in", 101.6, 127.0}, {"5x7in", 127.0, 177.8},
    {"8x10in", 203.2, 254.0}};

class HandbookSize : public testing::TestWithParam<Row> {};

TEST_P(HandbookSize, IsInTheTableWithinTheHandbooksRounding) {
  const Row row = GetParam();
  const auto size = plate_size_named(row.name);
  ASSERT_TRUE(size.has_value());
  const double rounding_mm = row.long_mm == 25.0 ? 0.5 : row.long_mm > 400 ? 0.3 : 0.06;
  EXPECT_NEAR(size->short_mm, row.short_mm, rounding_mm);
  EXPECT_NEAR(size->long_mm, row.long_mm, rounding_mm);
  EXPECT_FALSE(size->source.empty());
}

TEST_P(HandbookSize, IsFoundFromAMeasurementInEitherOrientation) {
  const Row row = GetParam();
  for (const double cut_mm : {-2.0, 0.0, 2.0}) {  // hand-cut plates vary 1-3 mm (common practice)
    const auto upright = nearest_plate_size(row.short_mm + cut_mm, row.long_mm);
    const auto lying = nearest_plate_size(row.long_mm, row.short_mm + cut_mm);
    ASSERT_TRUE(upright && lying);
    EXPECT_EQ(upright->name, row.name);
    EXPECT_EQ(lying->name, row.name);
  }
}

INSTANTIATE_TEST_SUITE_P(PlateSizes, HandbookSize, testing::ValuesIn(kHandbook),
                         [](const auto& instance) { return std::string("N") + instance.param.name; });

TEST(PlateSizes, TheHandbookNamesThemAll) {
  EXPECT_EQ(plate_sizes().size(), std::size(kHandbook));
}

TEST(PlateSizes, AMeasurementMoreThanThreeMillimetresOffIsNoTradeSize) {
  EXPECT_FALSE(nearest_plate_size(82.5, 107.9 + 3.5).has_value());
  EXPECT_FALSE(nearest_plate_size(150.0, 150.0).has_value());
}

TEST(PlateSizes, NamesAreTakenAsPeopleWriteThem) {
  for (const char* name : {"whole", "Whole plate", "whole-plate", "WHOLE"}) {
    ASSERT_TRUE(plate_size_named(name).has_value()) << name;
    EXPECT_EQ(plate_size_named(name)->name, "whole");
  }
  EXPECT_EQ(plate_size_named("4x5")->name, "4x5in");
  EXPECT_FALSE(plate_size_named("postcard").has_value());
  EXPECT_FALSE(plate_size_named("").has_value());
}

TEST(PlateSizes, AnAspectNamesEverySizeThatSharesIt) {
  std::string names;
  for (const PlateSize& size : plate_sizes_of_aspect(125.0, 100.0, 0.02))
    names += std::string(size.name) + " ";
  for (const char* name : {"4x5in", "8x10in", "ninth"})
    EXPECT_NE(names.find(name), std::string::npos) << names;
  EXPECT_TRUE(plate_sizes_of_aspect(100.0, 100.0, 0.02).empty());
}

}  // namespace
}  // namespace platewise
