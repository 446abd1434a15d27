// The program in odd surroundings: other locales, time zones and rights, no home, a reader that stops
// reading, a full disk. The answer stays the same, or one line says what is wrong, and nothing is left half
// written.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/time.h>

#include <csignal>
#include <nlohmann/json.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/write/write_file.h"
#include "running.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using ::testing::AnyOf;
using ::testing::HasSubstr;
using ::testing::Not;

class Surroundings : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_around_" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    PlateOptions options;
    options.px_per_mm = 4.0;
    const PlateRendering plate = render_plate(options);
    ASSERT_TRUE(write_picture(folder_ / "plate.tif", plate.pixels, plate.format));
  }
  void TearDown() override { fs::remove_all(folder_); }

  Outcome run(std::vector<std::string> arguments, const std::function<void()>& prepare = {}) {
    return run_program(folder_, std::move(arguments), {}, prepare);
  }
  [[nodiscard]] std::vector<std::string> files() const {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder_)) names.push_back(entry.path().filename());
    return names;
  }
  void expect_no_half_file() const {
    for (const std::string& name : files()) EXPECT_THAT(name, Not(HasSubstr("platewise-part")));
  }

  fs::path folder_;
};

struct Surrounding {
  const char* name;
  void (*prepare)();
};

void comma_locale() {
  ::setenv("LC_ALL", "de_DE.UTF-8", 1);
  ::setenv("LANG", "de_DE.UTF-8", 1);
  ::setenv("LC_NUMERIC", "de_DE.UTF-8", 1);
}

const Surrounding kSurroundings[] = {
    {"CommaLocale", comma_locale},
    {"UnknownLocale", [] { ::setenv("LC_ALL", "xx_YY.nonsense", 1); }},
    {"PlainLocale", [] { ::setenv("LC_ALL", "C", 1); }},
    {"FarTimeZone", [] { ::setenv("TZ", "Pacific/Kiritimati", 1); }},
    {"BrokenTimeZone", [] { ::setenv("TZ", ":no/such/place", 1); }},
    {"NoHome", [] { ::unsetenv("HOME"); }},
    {"NoEnvironmentAtAll",
     [] {
       static char* none[] = {nullptr};
       environ = none;
     }},
    {"TightUmask", [] { ::umask(0777); }},
    {"NoWritePermission", as_nobody},
    {"NoTemporaryFolder", [] { ::setenv("TMPDIR", "/no/such/folder", 1); }},
};

class SurroundedProgram : public Surroundings, public ::testing::WithParamInterface<Surrounding> {};

TEST_P(SurroundedProgram, SaysTheSame) {
  const std::vector<std::string> kScore{"score", "plate.tif", "--exposure", "2.5s", "--json", "-"};
  const Outcome usual = run(kScore);
  ASSERT_EQ(usual.exit_code, 0) << usual.err;
  const Outcome here = run(kScore, GetParam().prepare);
  EXPECT_EQ(here.exit_code, 0) << here.err;
  EXPECT_EQ(here.out, usual.out);
  EXPECT_EQ(here.err, usual.err);
}

INSTANTIATE_TEST_SUITE_P(All, SurroundedProgram, ::testing::ValuesIn(kSurroundings),
                         [](const auto& row) { return std::string(row.param.name); });

TEST_F(Surroundings, WritesWhatTheUmaskAllows) {
  ASSERT_EQ(run({"score", "plate.tif", "--json", "mine.json"}, [] { ::umask(0077); }).exit_code, 0);
  struct stat facts {};
  ASSERT_EQ(::stat((folder_ / "mine.json").c_str(), &facts), 0);
  EXPECT_EQ(facts.st_mode & 0777U, 0600U);
}

TEST_F(Surroundings, WithoutTheRightToWriteTheResultIsStillShown) {
  const Outcome outcome =
      run({"score", "plate.tif", "--json", "out.json", "--report", "page.html"}, as_nobody);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_THAT(outcome.err, HasSubstr("out.json: could not be written"));
  EXPECT_THAT(outcome.out, HasSubstr("plate.tif"));
  EXPECT_FALSE(fs::exists(folder_ / "out.json"));
  expect_no_half_file();
}

// Like `platewise score ... | head`: the reader is gone before the first word.
TEST_F(Surroundings, AReaderThatLeavesEndsTheRunQuietly) {
  const Outcome outcome = run({"score", "plate.tif", "plate.tif", "--json-lines"}, [] {
    int ends[2];
    if (::pipe(ends) != 0) ::_exit(125);
    ::dup2(ends[1], STDOUT_FILENO);
    ::close(ends[0]);
  });
  EXPECT_THAT(outcome.exit_code, AnyOf(0, 1, 128 + SIGPIPE));
  EXPECT_LE(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
}

TEST_F(Surroundings, ClosedStandardStreamsDoNoHarm) {
  const Outcome outcome = run({"score", "plate.tif", "--json", "kept.json"}, [] { ::close(STDOUT_FILENO); });
  EXPECT_THAT(outcome.exit_code, AnyOf(0, 1)) << outcome.err;
  EXPECT_EQ(json::parse(contents(folder_ / "kept.json")).at("schema"), "platewise.score/1");
}

// No file may grow beyond this: to the program the same as a disk that fills up while it writes.
void small_files_only() {
  constexpr rlim_t kBytes = 4096;
  const rlimit limit{kBytes, kBytes};
  ::signal(SIGXFSZ, SIG_IGN);
  if (::setrlimit(RLIMIT_FSIZE, &limit) != 0) ::_exit(125);
}

TEST_F(Surroundings, AFullDiskLeavesTheOldFileAndNoHalfOne) {
  for (const char* option : {"--json", "--report", "--overlay", "--json-lines"}) {
    const fs::path old = folder_ / "out.file";
    ASSERT_TRUE(write_file(old, "what was there"));
    std::vector<std::string> arguments{"score", "plate.tif", option};
    if (std::string(option) != "--json-lines") arguments.emplace_back("out.file");
    const Outcome outcome = run(arguments, small_files_only);
    if (std::string(option) == "--json-lines") continue;
    EXPECT_EQ(outcome.exit_code, 1) << option;
    EXPECT_THAT(outcome.err, HasSubstr("out.file: could not be written")) << option;
    EXPECT_EQ(contents(old), "what was there") << option;
    expect_no_half_file();
  }
}

TEST_F(Surroundings, AFullDiskLosesNoPlateOfTheLog) {
  ASSERT_EQ(run({"score", "plate.tif", "--log", "day.log", "--series", "one"}).exit_code, 0);
  const Outcome before = run({"log", "list", "--log", "day.log"});
  ASSERT_EQ(before.exit_code, 0) << before.err;
  const Outcome outcome =
      run({"score", "plate.tif", "--log", "day.log", "--series", "two"}, small_files_only);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_THAT(outcome.err, HasSubstr("day.log"));
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
  EXPECT_EQ(run({"log", "list", "--log", "day.log"}).out, before.out);
}

TEST_F(Surroundings, ALogThatMayNotBeWrittenIsNamedAndKept) {
  ASSERT_EQ(run({"score", "plate.tif", "--log", "day.log", "--series", "one"}).exit_code, 0);
  const std::string before = run({"log", "list", "--log", "day.log"}).out;
  const Outcome outcome = run({"score", "plate.tif", "--log", "day.log", "--series", "two"}, as_nobody);
  EXPECT_EQ(outcome.exit_code, 1);
  EXPECT_THAT(outcome.err, HasSubstr("day.log"));
  EXPECT_EQ(run({"log", "list", "--log", "day.log"}).out, before);
}

// Killed at many moments of a run that writes everything it can: what stands at the end is whole or absent.
TEST_F(Surroundings, AnInterruptedRunLeavesNoHalfFile) {
  const std::vector<std::string> kEverything{"score",    "plate.tif", "--json",    "all.json",
                                             "--report", "page.html", "--overlay", "seen.png"};
  ASSERT_EQ(run(kEverything).exit_code, 0);
  const std::string page = contents(folder_ / "page.html");
  for (int i = 1; i <= 12; ++i) {
    for (const char* name : {"all.json", "page.html", "seen.png"}) fs::remove(folder_ / name);
    const int microseconds = 60000 * i;
    run(kEverything, [microseconds] {
      const itimerval after{{0, 0}, {microseconds / 1000000, microseconds % 1000000}};
      ::setitimer(ITIMER_REAL, &after,
                  nullptr);  // ends the program as Ctrl-C would, at no moment of its choosing
    });
    if (fs::exists(folder_ / "all.json")) {
      EXPECT_FALSE(json::parse(contents(folder_ / "all.json"), nullptr, false).is_discarded());
    }
    if (fs::exists(folder_ / "page.html")) {
      EXPECT_EQ(contents(folder_ / "page.html"), page);
    }
  }
}

}  // namespace
}  // namespace platewise
