// The logbook as its users meet it: score --log, platewise log ..., compare --log.
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
using nlohmann::json;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

using Words = std::vector<std::string>;

class LogbookProgram : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_logbook_program_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    for (const std::uint64_t seed : {1U, 2U}) {
      PlateOptions options;
      options.px_per_mm = 6.0;
      options.width_mm = 82.55;
      options.height_mm = 107.95;
      options.seed = seed;
      const PlateRendering plate = render_plate(options);
      ASSERT_TRUE(
          write_picture(folder_ / ("plate-" + std::to_string(seed) + ".tif"), plate.pixels, plate.format));
    }
    scored_ = run({"score", "plate-1.tif", "plate-2.tif", "--exposure", "6s,9s", "--development", "18s",
                   "--aperture", "f/4", "--log", "day.log", "--series", "May 3"});
  }
  static void TearDownTestSuite() { fs::remove_all(folder_); }

  static Outcome run(Words arguments) { return run_program(folder_, std::move(arguments)); }
  static std::string exported() { return run({"log", "export", "--log", "day.log"}).out; }

  static inline fs::path folder_;
  static inline Outcome scored_;
};

TEST_F(LogbookProgram, ScoringWritesPlatesDownAndTheSameScanStaysOneEntry) {
  ASSERT_EQ(scored_.exit_code, 0) << scored_.err;
  EXPECT_THAT(scored_.out,
              AllOf(HasSubstr("Noted as plate 1 of the series May 3 in day.log"), HasSubstr("plate 2")));
  const Outcome again = run({"score", "plate-1.tif", "--note", "cloudy", "--log", "day.log", "--series",
                             "May 3", "--json", "again.json"});
  EXPECT_THAT(again.out, HasSubstr("Noted as plate 1"));
  const json score = json::parse(contents(folder_ / "again.json"));
  EXPECT_EQ(score["settings"]["exposure_s"], 6.0);  // from the first time
  const Outcome list = run({"log", "list", "--log", "day.log", "--series", "May 3"});
  EXPECT_EQ(list.exit_code, 0) << list.err;
  EXPECT_THAT(list.out, AllOf(HasSubstr("plate-1.tif"), HasSubstr("plate-2.tif"), HasSubstr("6 s"),
                              HasSubstr("9 s"), HasSubstr("cloudy")));
}

TEST_F(LogbookProgram, NotesAndCorrectionsAreKept) {
  EXPECT_EQ(run({"log", "note", "2", "filtered the bath", "--log", "day.log"}).exit_code, 0);
  EXPECT_EQ(run({"log", "edit", "2", "--exposure", "10s", "--aperture", "none", "--done", "12 s, f/4",
                 "--log", "day.log"})
                .exit_code,
            0);
  const Outcome show = run({"log", "show", "2", "--log", "day.log"});
  EXPECT_EQ(show.exit_code, 0) << show.err;
  EXPECT_THAT(show.out, AllOf(HasSubstr("exposure 10 s"), HasSubstr("aperture -"), HasSubstr("12 s, f/4"),
                              HasSubstr("filtered the bath")));
  EXPECT_EQ(run({"log", "edit", "2", "--exposure", "soon", "--log", "day.log"}).exit_code, 2);
  EXPECT_EQ(run({"log", "edit", "77", "--exposure", "9s", "--log", "day.log"}).exit_code, 1);
  EXPECT_EQ(run({"log", "edit", "2", "--exposure", "9s", "--aperture", "f/4", "--log", "day.log"}).exit_code,
            0);
}

TEST_F(LogbookProgram, AListGoesOutAndComesBackTheSame) {
  const std::string list = exported();
  ASSERT_TRUE(write_file(folder_ / "day.csv", list));
  EXPECT_EQ(run({"log", "import", "day.csv", "--log", "copy.log"}).exit_code, 0);
  EXPECT_EQ(run({"log", "export", "--log", "copy.log"}).out, list);
  EXPECT_EQ(run({"log", "import", "day.csv", "--log", "copy.log"}).exit_code, 0);
  EXPECT_EQ(run({"log", "export", "--log", "copy.log"}).out, list);
}

TEST_F(LogbookProgram, ASeriesIsComparedFromItsLogbookAlone) {
  const Outcome seen = run({"compare", "--log", "day.log", "--series", "May 3", "--json", "series.json"});
  ASSERT_EQ(seen.exit_code, 0) << seen.err;
  EXPECT_THAT(seen.out, HasSubstr("Predicted against happened"));
  const json series = json::parse(contents(folder_ / "series.json"));
  EXPECT_EQ(series["schema"], "platewise.series/1");
  ASSERT_EQ(series["plates"].size(), 2U);
  ASSERT_EQ(series["advice"].size(), 1U);
  EXPECT_NEAR(series["advice"][0]["done_stops"].get<double>(), 0.585, 0.2);  // 9 s after 6 s: log2 1.5
  EXPECT_TRUE(series["advice"][0]["needed_stops"].is_object());
}

TEST_F(LogbookProgram, SaysWhatIsWrongWithALogbook) {
  ASSERT_TRUE(write_file(folder_ / "text.log", std::string(5000, 'x')));
  const std::pair<Words, const char*> kWrong[] = {
      {{"log", "list", "--log", "none.log"}, "none.log"},
      {{"log", "list", "--log", "text.log"}, "text.log: is not a logbook"},
      {{"log", "note", "1", "x", "--log", "none.log"}, "none.log"},
      {{"compare", "--log", "day.log", "--series", "other"}, "series other"},
      {{"score", "plate-1.tif", "--log", "text.log", "--series", "a"}, "text.log: is not a logbook"}};
  for (const auto& [words, message] : kWrong) {
    const Outcome outcome = run(words);
    EXPECT_EQ(outcome.exit_code, 1) << message;
    EXPECT_THAT(outcome.err, HasSubstr(message));
    EXPECT_THAT(outcome.out, IsEmpty());
  }
  EXPECT_FALSE(fs::exists(folder_ / "none.log"));
  EXPECT_EQ(run({"score", "plate-1.tif", "--log", "day.log"}).exit_code, 2);
  EXPECT_EQ(run({"score", "plate-1.tif", "--series", "a"}).exit_code, 2);
  EXPECT_EQ(run({"log"}).exit_code, 2);
}

}  // namespace
}  // namespace platewise
