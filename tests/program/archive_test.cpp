// Many scans in one run: folders, several at once, going on after an interruption.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/write/write_file.h"
#include "running.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

using Words = std::vector<std::string>;

class Archive : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_archive_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_ / "day");
    fs::create_directories(folder_ / "empty");
    for (const char* name : {"c.tif", "a.tif", "d.tif"}) {
      PlateOptions options;
      options.seed = static_cast<std::uint64_t>(name[0]);
      options.px_per_mm = 4.0;
      options.width_mm = 63.5;
      options.height_mm = 76.2;
      const PlateRendering plate = render_plate(options);
      ASSERT_TRUE(write_picture(folder_ / "day" / name, plate.pixels, plate.format));
    }
    ASSERT_TRUE(write_file(folder_ / "day" / "b.tif", "no picture"));
    ASSERT_TRUE(write_file(folder_ / "day" / "notes.txt", "rain"));
    ASSERT_TRUE(write_file(folder_ / "day" / ".hidden.tif", "no picture"));
  }
  static void TearDownTestSuite() { fs::remove_all(folder_); }
  void SetUp() override {
    fs::remove(folder_ / "out.jsonl");
    fs::remove(folder_ / "out.jsonl.partial");
  }

  static Outcome run(Words arguments) { return run_program(folder_, std::move(arguments)); }
  static Words paths_of(const std::string& lines) {
    Words paths;
    std::istringstream in(lines);
    for (std::string line; std::getline(in, line);)
      paths.push_back(nlohmann::json::parse(line).at("scan").at("path"));
    return paths;
  }

  static inline fs::path folder_;
  static inline const Words kScans{"day/a.tif", "day/c.tif", "day/d.tif"};
};

TEST_F(Archive, AFolderStandsForItsPicturesByNameAndABadOneIsNamed) {
  const Outcome outcome = run({"score", "day", "--json-lines"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(paths_of(outcome.out), kScans);
  EXPECT_THAT(outcome.err, HasSubstr("day/b.tif"));
}

TEST_F(Archive, AnEmptyFolderIsNamedAndLosesNothing) {
  const Outcome outcome = run({"score", "empty", "day/a.tif", "--json-lines"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(paths_of(outcome.out), Words{"day/a.tif"});
  EXPECT_THAT(outcome.err, HasSubstr("empty: is a folder"));
}

TEST_F(Archive, ResultsAreTheSameHoweverManyAreWorkedOnAtOnce) {
  const std::string one = run({"score", "day", "--json-lines", "--jobs", "1"}).out;
  EXPECT_THAT(one, ::testing::Not(IsEmpty()));
  for (const char* jobs : {"2", "5"})
    EXPECT_EQ(run({"score", "day", "--json-lines", "--jobs", jobs}).out, one) << jobs;
}

TEST_F(Archive, AnInterruptedRunGoesOnWhereItWas) {
  const Words kRun{"score", "day", "--json", "out.jsonl", "--json-lines"};
  Words resumed = kRun;
  resumed.emplace_back("--resume");
  run(kRun);
  const std::string whole = contents(folder_ / "out.jsonl");
  ASSERT_EQ(paths_of(whole), kScans);
  EXPECT_FALSE(fs::exists(folder_ / "out.jsonl.partial"));

  // As a kill leaves it: one plate done, the second line cut short.
  fs::remove(folder_ / "out.jsonl");
  const std::size_t first = whole.find('\n') + 1;
  ASSERT_TRUE(write_file(folder_ / "out.jsonl.partial", whole.substr(0, first + 200)));
  EXPECT_EQ(run(kRun).exit_code, 1) << "an interrupted run's plates would be lost";
  EXPECT_THAT(run(kRun).err, HasSubstr("--resume"));
  const Outcome outcome = run(resumed);
  EXPECT_THAT(outcome.err, HasSubstr("1 of 4 plates were done before"));
  EXPECT_EQ(contents(folder_ / "out.jsonl"), whole);
  EXPECT_FALSE(fs::exists(folder_ / "out.jsonl.partial"));
}

TEST_F(Archive, OnlyEqualWorkCountsAsDone) {
  const Words kRun{"score", "day", "--json", "out.jsonl", "--json-lines", "--resume"};
  EXPECT_THAT(run(kRun).err, ::testing::Not(HasSubstr("done before")));
  EXPECT_THAT(run(kRun).err, HasSubstr("3 of 4 plates were done before"));
  Words otherwise = kRun;
  otherwise.insert(otherwise.end(), {"--exposure", "8s"});
  EXPECT_THAT(run(otherwise).err, ::testing::Not(HasSubstr("done before")));
  EXPECT_EQ(paths_of(contents(folder_ / "out.jsonl")), kScans);
}

TEST_F(Archive, GoingOnNeedsAFileOfLines) {
  for (const Words& words :
       {Words{"score", "day", "--resume"}, Words{"score", "day", "--json-lines", "--resume"},
        Words{"score", "day", "--json", "out.json", "--resume"}}) {
    const Outcome outcome = run(words);
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_THAT(outcome.err, HasSubstr("--json FILE --json-lines"));
  }
}

}  // namespace
}  // namespace platewise
