#include "platewise/core/csv.h"

#include <gtest/gtest.h>

namespace platewise {
namespace {

// Quoting rules: RFC 4180 section 2, points 5 to 7.
TEST(Csv, QuotedCellsKeepCommasQuotesAndLineBreaks) {
  const Result<Csv> csv =
      parse_csv("name,note\r\n\"a,b\",\"said \"\"hm\"\"\"\r\nc,\"two\nlines\"\r\n", "t.csv");
  ASSERT_TRUE(csv.has_value());
  ASSERT_EQ(csv->rows.size(), 2U);
  EXPECT_EQ(csv->cell(0, "name"), "a,b");
  EXPECT_EQ(csv->cell(0, "note"), "said \"hm\"");
  EXPECT_EQ(csv->cell(1, "note"), "two\nlines");
}

TEST(Csv, CommentsEmptyLinesAndByteOrderMarkAreLeftOut) {
  const Result<Csv> csv = parse_csv("\xEF\xBB\xBF# source\nstep,density\n\n1,0.05\n# end\n2,", "t.csv");
  ASSERT_TRUE(csv.has_value());
  EXPECT_EQ(csv->header, (std::vector<std::string>{"step", "density"}));
  ASSERT_EQ(csv->rows.size(), 2U);
  EXPECT_EQ(csv->cell(1, "density"), "");
}

TEST(Csv, SaysWhichLineIsWrong) {
  const Result<Csv> ragged = parse_csv("a,b\n1,2\n1,2,3\n", "t.csv");
  ASSERT_FALSE(ragged.has_value());
  EXPECT_NE(ragged.error().message().find("t.csv: line 3 has 3 cells"), std::string::npos);
  EXPECT_FALSE(parse_csv("a,b\n\"1,2\n", "t.csv").has_value());
  EXPECT_FALSE(parse_csv("", "t.csv").has_value());
}

}  // namespace
}  // namespace platewise
