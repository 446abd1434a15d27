#include "platewise/logbook/logbook.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sqlite3.h>
#include <unistd.h>

#include <fstream>
#include <string>
#include <thread>

namespace platewise {
namespace {

using testing::HasSubstr;

// A folder of its own for each test, gone afterwards.
class LogbookFile : public testing::Test {
 protected:
  void SetUp() override {
    const auto* info = testing::UnitTest::GetInstance()->current_test_info();
    folder_ = std::filesystem::temp_directory_path() /
              ("platewise_logbook_" + std::string(info->name()) + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_);
    file_ = folder_ / u8"T\u00e4glich\u20ac.db";
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  void run_sql(const char* sql) const {
    sqlite3* connection = nullptr;
    const std::u8string name = file_.u8string();
    ASSERT_EQ(sqlite3_open(std::string(name.begin(), name.end()).c_str(), &connection), SQLITE_OK);
    char* message = nullptr;
    EXPECT_EQ(sqlite3_exec(connection, sql, nullptr, nullptr, &message), SQLITE_OK) << message;
    sqlite3_close(connection);
  }

  std::filesystem::path folder_;
  std::filesystem::path file_;
};

LogEntry full_entry() {
  return {.series = "Hafen, 3. M\u00e4rz",
          .scan_sha256 = "ab12",
          .scan_path = "/scans/a 1.tif",
          .scored_at = "2026-03-03T11:02:00Z",
          .exposure_s = 8.0,
          .development_s = 0.1 + 0.2,
          .aperture = 5.6,
          .meter_ev = -1.5,
          .temperature_c = 19.0,
          .bellows_ratio = 300.0 / 210.0,
          .schwarzschild_p = 0.85,
          .note = "clouds; \"thin\"\nsecond line",
          .done = "took 10 s",
          .score_json = std::string("{\"schema\":\"platewise.score/1\"}")};
}

LogEntry entry(const std::string& sha, const std::string& series = "day") {
  return {.series = series, .scan_sha256 = sha, .score_json = "{}"};
}

Logbook opened(const std::filesystem::path& file, LogbookUse use = LogbookUse::write) {
  Result<Logbook> log = Logbook::open(file, use);
  EXPECT_TRUE(log.has_value()) << (log ? "" : log.error().message());
  return std::move(*log);
}

TEST(Logbook, ReturnsWhatWasPut) {
  Logbook log = opened(":memory:");
  const Result<std::int64_t> id = log.put(full_entry());
  ASSERT_TRUE(id.has_value());
  EXPECT_EQ(log.plate(*id)->entry, full_entry());
}

TEST(Logbook, TheSameScanOfASeriesIsOneEntryThatKeepsItsNotes) {
  Logbook log = opened(":memory:");
  const auto first = log.put(full_entry());
  LogEntry again = entry("ab12", full_entry().series);
  again.exposure_s = 10.0;
  again.score_json = "{\"new\":1}";
  EXPECT_EQ(*log.put(again), *first);
  const LogEntry now = log.plate(*first)->entry;
  EXPECT_EQ(log.plates()->size(), 1U);
  EXPECT_EQ(now.exposure_s, 10.0);
  EXPECT_EQ(now.aperture, 5.6);
  EXPECT_EQ(now.note, full_entry().note);
  EXPECT_EQ(now.score_json, "{\"new\":1}");
}

TEST(Logbook, KeepsSeriesApartAndInOrder) {
  Logbook log = opened(":memory:");
  for (const char* sha : {"c", "a", "b"}) ASSERT_TRUE(log.put(entry(sha)).has_value());
  ASSERT_TRUE(log.put(entry("a", "other")).has_value());
  const auto day = log.plates("day");
  ASSERT_EQ(day->size(), 3U);
  EXPECT_EQ((*day)[0].entry.scan_sha256, "c");
  EXPECT_EQ((*day)[2].entry.scan_sha256, "b");
  EXPECT_EQ(log.series()->size(), 2U);
  EXPECT_EQ(log.series()->front().plates, 3);
}

TEST(Logbook, SaysWhenThereIsNoSuchPlate) {
  Logbook log = opened(":memory:");
  EXPECT_THAT(log.plate(7).error().message(), HasSubstr("has no plate 7"));
  EXPECT_FALSE(log.replace(7, entry("a")).has_value());
}

TEST_F(LogbookFile, LastsUnderANonAsciiName) {
  { ASSERT_TRUE(opened(file_).put(full_entry()).has_value()); }
  EXPECT_EQ(opened(file_).plates()->front().entry, full_entry());
  EXPECT_EQ(opened(file_, LogbookUse::read).plates()->front().entry, full_entry());
}

TEST_F(LogbookFile, TwoWritersLoseNothing) {
  constexpr int kEach = 25;
  const auto write = [&](const std::string& who) {
    Logbook log = opened(file_);
    for (int i = 0; i < kEach; ++i) EXPECT_TRUE(log.put(entry(who + std::to_string(i))).has_value());
  };
  std::thread one(write, "a");
  std::thread two(write, "b");
  one.join();
  two.join();
  EXPECT_EQ(opened(file_).plates()->size(), 2U * kEach);
}

TEST_F(LogbookFile, ReadingNeverWrites) {
  { ASSERT_TRUE(opened(file_).put(entry("a")).has_value()); }
  Logbook log = opened(file_, LogbookUse::read);
  EXPECT_THAT(log.put(entry("b")).error().message(), HasSubstr("cannot be written"));
  EXPECT_EQ(log.plates()->size(), 1U);
}

// A file as version 1 of the program wrote it.
TEST_F(LogbookFile, BringsAnOlderFileUpToDate) {
  run_sql(
      "CREATE TABLE plates (id INTEGER PRIMARY KEY AUTOINCREMENT, series TEXT NOT NULL, scan_sha256 TEXT NOT "
      "NULL, scan_path TEXT NOT NULL, scored_at TEXT NOT NULL, exposure_s REAL, development_s REAL, aperture "
      "REAL, meter_ev REAL, note TEXT NOT NULL, score_json TEXT NOT NULL, UNIQUE (series, "
      "scan_sha256));PRAGMA application_id = 1886156652; PRAGMA user_version = 1;INSERT INTO plates VALUES "
      "(4, 'day', 'a', 'p', 't', 8, NULL, NULL, NULL, 'n', '{}');");
  EXPECT_THAT(Logbook::open(file_, LogbookUse::read).error().message(), HasSubstr("older version"));
  Logbook log = opened(file_);
  EXPECT_EQ(log.plate(4)->entry.exposure_s, 8.0);
  EXPECT_EQ(log.plate(4)->entry.done, "");
  LogEntry warm = entry("b");
  warm.temperature_c = 25.0;
  warm.bellows_ratio = 1.5;
  EXPECT_TRUE(log.put(warm).has_value());
}

TEST_F(LogbookFile, RefusesANewerFile) {
  { (void)opened(file_); }
  run_sql("PRAGMA user_version = 99;");
  EXPECT_THAT(Logbook::open(file_, LogbookUse::write).error().message(), HasSubstr("newer version"));
}

TEST_F(LogbookFile, RefusesAnotherProgramsDatabase) {
  run_sql("CREATE TABLE recipes (name TEXT);");
  EXPECT_THAT(Logbook::open(file_, LogbookUse::write).error().message(), HasSubstr("another program"));
}

TEST_F(LogbookFile, SaysWhenTheFileIsNoLogbookOrDamaged) {
  std::ofstream(file_) << std::string(5000, 'x');
  EXPECT_THAT(Logbook::open(file_, LogbookUse::write).error().message(), HasSubstr("is not a logbook"));
  std::filesystem::remove(file_);
  {
    Logbook log = opened(file_);
    for (int i = 0; i < 200; ++i) ASSERT_TRUE(log.put(entry(std::to_string(i))).has_value());
  }
  std::fstream damaged(file_, std::ios::in | std::ios::out | std::ios::binary);
  damaged.seekp(4096);
  damaged << std::string(20000, '\x55');
  damaged.close();
  const Result<Logbook> log = Logbook::open(file_, LogbookUse::write);
  const std::string message = log ? log->plates().error().message() : log.error().message();
  EXPECT_THAT(message, HasSubstr("is damaged"));
}

TEST_F(LogbookFile, SaysWhenTheFolderIsMissing) {
  const auto log = Logbook::open(folder_ / "no" / "such" / "log.db", LogbookUse::write);
  EXPECT_THAT(log.error().message(), HasSubstr("cannot be opened"));
  EXPECT_FALSE(Logbook::open(folder_ / "none.db", LogbookUse::read).has_value());
}

}  // namespace
}  // namespace platewise
