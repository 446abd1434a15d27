// The whole program as its users meet it: command lines, exit status, JSON, messages.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/json/curve_json.h"
#include "platewise/write/write_file.h"
#include "running.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

using Words = std::vector<std::string>;

// One small plate, rendered once for all tests.
class Program : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_program_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    PlateOptions options;
    options.px_per_mm = 6.0;
    options.width_mm = 82.55;
    options.height_mm = 107.95;
    const PlateRendering plate = render_plate(options);
    ASSERT_TRUE(write_picture(folder_ / "plate.tif", plate.pixels, plate.format));
    ASSERT_TRUE(write_file(folder_ / "bad.tif", "no picture"));
  }
  static void TearDownTestSuite() { fs::remove_all(folder_); }

  static Outcome run(Words arguments) { return run_program(folder_, std::move(arguments)); }
  static Words files() {
    Words all;
    for (const auto& entry : fs::directory_iterator(folder_)) all.push_back(entry.path().filename().string());
    std::erase_if(all, [](const std::string& name) { return name == ".stdout" || name == ".stderr"; });
    return all;
  }

  static inline fs::path folder_;
};

std::size_t lines_of(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

// ---- usage ----

TEST_F(Program, EveryCommandExplainsItself) {
  const Words kCommands[] = {{"score"},
                             {"compare"},
                             {"report"},
                             {"calibrate", "scanner"},
                             {"calibrate", "plate"},
                             {"calibrate"},
                             {"demo"},
                             {"log"},
                             {"log", "list"},
                             {"log", "edit"},
                             {}};
  for (Words words : kCommands) {
    const std::string last = words.empty() ? "score" : words.back();
    words.emplace_back("--help");
    const Outcome outcome = run(words);
    EXPECT_EQ(outcome.exit_code, 0) << last;
    EXPECT_THAT(outcome.err, IsEmpty());
    EXPECT_THAT(outcome.out, HasSubstr(last));
  }
  EXPECT_THAT(run({"--version"}).out, HasSubstr("platewise "));
}

TEST_F(Program, WrongUsageExitsWithTwoAndStartsNothing) {
  const std::pair<Words, const char*> kWrong[] = {
      {{}, "subcommand"},
      {{"develop"}, "develop"},
      {{"score"}, "SCAN"},
      {{"score", "plate.tif", "--kind", "daguerreotype"}, "--kind"},
      {{"score", "plate.tif", "--exposure", "soon"}, "--exposure: cannot understand \"soon\""},
      {{"score", "plate.tif", "--exposure", "1s,2s"}, "2 values for 1 scan"},
      {{"score", "plate.tif", "--aperture", "wide"}, "f/4"},
      {{"score", "plate.tif", "--plate-size", "enormous"}, "quarter"},
      {{"score", "plate.tif", "--corners", "1,2,3"}, "--corners"},
      {{"score", "plate.tif", "--rotate", "45"}, "--rotate"},
      {{"score", "plate.tif", "--subject", "1,2"}, "--subject"},
      {{"score", "plate.tif", "--frobnicate"}, "frobnicate"},
      {{"compare", "plate.tif"}, "at least two"},
      {{"calibrate", "plate", "plate.tif", "-o", "x.json"}, "--wedge"},
      {{"demo"}, "DIR"}};
  const Words before = files();
  for (const auto& [arguments, words] : kWrong) {
    const Outcome outcome = run(arguments);
    EXPECT_EQ(outcome.exit_code, 2) << words;
    EXPECT_THAT(outcome.err, HasSubstr(words));
    EXPECT_EQ(lines_of(outcome.err), 1U) << outcome.err;
    EXPECT_THAT(outcome.out, IsEmpty()) << words;
  }
  EXPECT_EQ(files().size(), before.size());
}

// ---- results ----

TEST_F(Program, ScoresAPlateToTextAndJson) {
  const Outcome text = run({"score", "plate.tif", "--plate-size", "quarter", "--exposure", "8s"});
  EXPECT_EQ(text.exit_code, 0) << text.err;
  EXPECT_THAT(text.err, IsEmpty());
  EXPECT_THAT(text.out, AllOf(HasSubstr("plate.tif"), Not(HasSubstr("\x1b"))));
  const Outcome data = run({"score", "plate.tif", "--plate-size", "quarter", "--exposure", "1/4s",
                            "--aperture", "f/4", "--note", "one, two", "--json", "-"});
  EXPECT_EQ(data.exit_code, 0) << data.err;
  const json score = json::parse(data.out);
  EXPECT_EQ(score.at("schema"), "platewise.score/1");
  EXPECT_EQ(score.at("scan").at("path"), "plate.tif");
  EXPECT_EQ(score.at("plate").at("found"), true);
  EXPECT_EQ(score.at("plate").at("size_name"), "quarter");
  EXPECT_EQ(score.at("settings").at("exposure_s"), 0.25);
  EXPECT_EQ(score.at("settings").at("aperture"), 4.0);
  EXPECT_EQ(score.at("settings").at("note"), "one, two");
}

TEST_F(Program, OneBadScanNeverLosesTheOthers) {
  const Outcome outcome = run({"score", "plate.tif", "bad.tif", "missing.tif", "plate.tif", "--json",
                               "all.json", "--overlay", "seen.png", "--exposure", "1s,2s,3s,4s"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_EQ(lines_of(outcome.err), 2U) << outcome.err;
  EXPECT_THAT(outcome.err, AllOf(HasSubstr("platewise: bad.tif: is not a picture"),
                                 HasSubstr("platewise: missing.tif: there is no such file")));
  const json scores = json::parse(contents(folder_ / "all.json"));
  ASSERT_EQ(scores.size(), 2U);
  EXPECT_EQ(scores.at(0).at("settings").at("exposure_s"), 1.0);
  EXPECT_EQ(scores.at(1).at("settings").at("exposure_s"), 4.0);
  EXPECT_TRUE(fs::exists(folder_ / "seen-1.png"));
  EXPECT_FALSE(fs::exists(folder_ / "seen-2.png"));
  EXPECT_TRUE(fs::exists(folder_ / "seen-4.png"));
  for (const std::string& file : files()) EXPECT_THAT(file, Not(HasSubstr("platewise-part")));
}

TEST_F(Program, JsonLinesAreOneObjectALine) {
  const Outcome outcome = run({"score", "plate.tif", "bad.tif", "plate.tif", "--json-lines"});
  EXPECT_EQ(outcome.exit_code, 1);
  ASSERT_EQ(lines_of(outcome.out), 2U) << outcome.out.substr(0, 300);
  std::istringstream lines(outcome.out);
  for (std::string line; std::getline(lines, line);) {
    EXPECT_EQ(json::parse(line).at("schema"), "platewise.score/1");
  }
}

TEST_F(Program, OddFileNamesAreFine) {
  const std::string odd = "-plate \xff\n'one' [2].tif";
  fs::copy_file(folder_ / "plate.tif", folder_ / odd, fs::copy_options::overwrite_existing);
  const Outcome outcome = run({"score", "--json", "-", "--", odd});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(json::parse(outcome.out).at("scan").at("path"), "-plate \xef\xbf\xbd\n'one' [2].tif");
  fs::remove(folder_ / odd);
  const Outcome gone = run({"score", "--", odd});
  EXPECT_EQ(gone.exit_code, 1);
  EXPECT_EQ(lines_of(gone.err), 1U);
}

TEST_F(Program, HowThePlateWasHandledIsTaken) {
  const Outcome taken =
      run({"score", "plate.tif", "--drain-corner", "top_left", "--dip-edge", "left", "--json", "-"});
  EXPECT_EQ(taken.exit_code, 0) << taken.err;
  const std::string warnings = json::parse(taken.out).at("warnings").dump();
  EXPECT_THAT(warnings, AllOf(Not(HasSubstr("no effect")), Not(HasSubstr("was not given"))));
  const Outcome wrong = run({"score", "plate.tif", "--drain-corner", "middle"});
  EXPECT_EQ(wrong.exit_code, 2);
  EXPECT_THAT(wrong.err, HasSubstr("--drain-corner"));
}

TEST_F(Program, AReferenceIsUsedOrWhatIsWrongWithItIsSaid) {
  const Outcome missing = run({"score", "plate.tif", "--reference", "nothing.tif", "--json", "-"});
  EXPECT_EQ(missing.exit_code, 1);
  EXPECT_THAT(missing.err, HasSubstr("nothing.tif"));
  const Outcome same = run({"score", "plate.tif", "--reference", "plate.tif", "--json", "-"});
  ASSERT_EQ(same.exit_code, 0) << same.err;
  const json alone = json::parse(run({"score", "plate.tif", "--json", "-"}).out);
  // Against itself nothing in the picture is a fault.
  EXPECT_LE(json::parse(same.out).at("faults").size(), alone.at("faults").size());
}

TEST_F(Program, SettingsAreFoundByFileName) {
  ASSERT_TRUE(write_file(folder_ / "list.csv", "file,exposure_s,note\nplate.tif,12,north light\n"));
  const Outcome listed = run({"score", "plate.tif", "--settings", "list.csv", "--json", "-"});
  ASSERT_EQ(listed.exit_code, 0) << listed.err;
  EXPECT_EQ(json::parse(listed.out).at("settings").at("exposure_s"), 12.0);
  EXPECT_EQ(json::parse(listed.out).at("settings").at("note"), "north light");
  const Outcome both =
      run({"score", "plate.tif", "--settings", "list.csv", "--exposure", "5s", "--json", "-"});
  EXPECT_EQ(json::parse(both.out).at("settings").at("exposure_s"), 5.0)
      << "the command line has the last word";
}

TEST_F(Program, UnusableCalibrationsStopBeforeAnyScan) {
  ASSERT_TRUE(write_file(folder_ / "broken.json", "{}"));
  for (const auto& [option, file] :
       {std::pair("--device", "broken.json"), std::pair("--curve", "broken.json"),
        std::pair("--device", "none.json"), std::pair("--settings", "none.csv")}) {
    const Outcome outcome = run({"score", "plate.tif", option, file});
    EXPECT_EQ(outcome.exit_code, 1) << option;
    EXPECT_THAT(outcome.err, HasSubstr(file));
    EXPECT_THAT(outcome.out, IsEmpty());
  }
  PlateCurve negative;
  negative.kind = PlateKind::negative;
  ASSERT_TRUE(write_file(folder_ / "negative.json", plate_curve_json(negative)));
  EXPECT_EQ(run({"score", "plate.tif", "--curve", "negative.json"}).exit_code, 2);
}

TEST_F(Program, OutputsThatCannotBeWrittenAreNamed) {
  for (const char* option : {"--json", "--report", "--overlay"}) {
    const Outcome outcome = run({"score", "plate.tif", option, "no/such/folder/file.out"});
    EXPECT_EQ(outcome.exit_code, 1) << option;
    EXPECT_THAT(outcome.err, HasSubstr("no/such/folder/file.out: could not be written")) << option;
    EXPECT_THAT(outcome.out, HasSubstr("plate.tif")) << "the result itself is not lost";
  }
  const Outcome full = run_program(folder_, {"score", "plate.tif"}, "/dev/full");
  EXPECT_EQ(full.exit_code, 1);
  EXPECT_THAT(full.err, HasSubstr("standard output"));
}

TEST_F(Program, TheReportIsOnePageThatLoadsNothing) {
  const Outcome outcome = run({"report", "plate.tif", "-o", "day.html"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const std::string page = contents(folder_ / "day.html");
  EXPECT_THAT(page, HasSubstr("platewise.score/1"));
  EXPECT_THAT(page, Not(HasSubstr("src=\"http")));
}

TEST_F(Program, ComparingGivesTheSeries) {
  const Outcome outcome = run({"compare", "plate.tif", "plate.tif", "--json", "-"});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json series = json::parse(outcome.out);
  EXPECT_EQ(series.at("schema"), "platewise.series/1");
  EXPECT_EQ(series.at("plates").size(), 2U);
  EXPECT_EQ(series.at("changes").size(), 1U);
}

// What many machines scored is put together from their lines alone: the scans need not be there.
TEST_F(Program, ComparesPlatesFromTheirLines) {
  for (const char* lines : {"one.jsonl", "two.jsonl"}) {
    ASSERT_EQ(run({"score", "plate.tif", "--exposure", "8s", "--json", lines, "--json-lines"}).exit_code, 0);
  }
  const fs::path plate = folder_ / "plate.tif";
  fs::rename(plate, folder_ / "away");
  const Outcome outcome = run({"compare", "--from", "one.jsonl", "two.jsonl", "--json", "-"});
  fs::rename(folder_ / "away", plate);
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json series = json::parse(outcome.out);
  ASSERT_EQ(series.at("plates").size(), 2U);
  EXPECT_EQ(series.at("plates").at(1), json::parse(contents(folder_ / "two.jsonl")));
  EXPECT_NEAR(series.at("changes").at(0).at("highlight_change").at("value"), 0.0, 1e-6);
  EXPECT_EQ(series.at("changes").at(0).at("aligned"), false);
}

TEST_F(Program, ALineThatIsNoScoreIsNamedAndTheOthersCompared) {
  ASSERT_EQ(run({"score", "plate.tif", "--json", "one.jsonl", "--json-lines"}).exit_code, 0);
  const std::string line = contents(folder_ / "one.jsonl");
  ASSERT_TRUE(write_file(folder_ / "mixed.jsonl", line + "not a score\n" + line + line.substr(0, 99)));
  const Outcome outcome = run({"compare", "--from", "mixed.jsonl", "--json", "-"});
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_THAT(outcome.err, AllOf(HasSubstr("mixed.jsonl, line 2"), HasSubstr("mixed.jsonl, line 4")));
  EXPECT_EQ(json::parse(outcome.out).at("plates").size(), 2U);
  EXPECT_EQ(run({"compare", "--from", "mixed.jsonl", "plate.tif", "--log", "x.log"}).exit_code, 2);
  EXPECT_EQ(run({"compare", "--from", "missing.jsonl"}).exit_code, 1);
}

}  // namespace
}  // namespace platewise
