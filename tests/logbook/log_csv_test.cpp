#include "platewise/logbook/log_csv.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

namespace platewise {
namespace {

using testing::HasSubstr;

LogEntry entry(const std::string& sha) {
  return {.series = "day", .scan_sha256 = sha, .score_json = "{}"};
}

std::vector<LoggedPlate> awkward_plates() {
  LogEntry awkward = entry("ab");
  awkward.series = "=1+1, \"Hof\"";
  awkward.scan_path = "C:\\scans\\a,b.tif";
  awkward.scored_at = "2026-03-03T11:02:00Z";
  awkward.exposure_s = 0.1 + 0.2;
  awkward.meter_ev = -1.0 / 3.0;
  awkward.note = "first\r\n#second\n\n\"quoted\", M\u00e4rz \u20ac";
  awkward.done = "'tis done";
  for (int i = 0; i < 20000; ++i) awkward.score_json += "\u00e4\"=,";
  LogEntry bare = entry("cd");
  return {{1, entry("00")}, {2, awkward}, {3, bare}};
}

TEST(LogCsv, ComesBackWithoutLoss) {
  const auto plates = awkward_plates();
  const auto back = log_entries_from_csv(log_csv(plates), "list");
  ASSERT_TRUE(back.has_value()) << back.error().message();
  ASSERT_EQ(back->size(), plates.size());
  for (std::size_t i = 0; i < plates.size(); ++i) EXPECT_EQ((*back)[i], plates[i].entry) << i;
}

// A spreadsheet's cell holds 32767 characters and runs what begins like a formula.
TEST(LogCsv, SuitsASpreadsheet) {
  const std::string list = log_csv(awkward_plates());
  EXPECT_THAT(list, HasSubstr(",\"'=1+1, "));
  EXPECT_FALSE(list.find(",\"=") != std::string::npos);
  std::istringstream cells(list);
  std::string cell;
  std::size_t longest = 0;
  while (std::getline(cells, cell, ',')) longest = std::max(longest, cell.size());
  EXPECT_LT(longest, 32767U);
  EXPECT_TRUE(list.starts_with("\xEF\xBB\xBF"));
}

TEST(LogCsv, NamesTheRowThatIsWrong) {
  const auto word = log_entries_from_csv("series,scan_sha256,exposure_s\nday,ab,8\nday,cd,8s\n", "list.csv");
  ASSERT_FALSE(word.has_value());
  EXPECT_THAT(word.error().message(),
              testing::AllOf(HasSubstr("list.csv"), HasSubstr("plate 2"), HasSubstr("8s")));
  EXPECT_FALSE(log_entries_from_csv("series,note\nday,x\n", "list").has_value());
  EXPECT_FALSE(log_entries_from_csv("series,scan_sha256\nday,\n", "list").has_value());
}

TEST(LogCsv, AnImportedListReplacesAndAdds) {
  Result<Logbook> log = Logbook::open(":memory:", LogbookUse::write);
  ASSERT_TRUE(log.has_value());
  LogEntry noted = entry("ab");
  noted.note = "old";
  ASSERT_TRUE(log->put(noted).has_value());
  noted.note.clear();
  ASSERT_TRUE(log->put_whole({noted, entry("cd")}).has_value());
  const auto plates = log->plates();
  ASSERT_EQ(plates->size(), 2U);
  EXPECT_EQ(plates->front().entry, noted);
}

}  // namespace
}  // namespace platewise
