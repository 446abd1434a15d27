// Pictures that lie, given to the whole program: a right result, or exit 1 with one clear line; never a
// crash, a hang or a made-up measurement.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <cmath>
#include <functional>
#include <limits>
#include <nlohmann/json.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/write/write_file.h"
#include "read/tiff_bytes.h"
#include "running.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using ::testing::AnyOf;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr int kHangSeconds = 60;  // a normal run takes less than two
constexpr int kBlankSide = 400;

// The bytes of one small plate's scan: uncompressed 8-bit pixels, to be put under any header.
struct SmallPlate {
  int width = 0, height = 0;
  std::string pixels;

  [[nodiscard]] TiffBytes tiff() const { return {width, height, 1, 8, pixels}; }
};

SmallPlate small_plate() {
  PlateOptions options;
  options.px_per_mm = 6.0;
  options.width_mm = 82.55;
  options.height_mm = 107.95;
  const cv::Mat rendered = render_plate(options).pixels;
  cv::Mat grey;
  cv::extractChannel(rendered, grey, rendered.channels() / 2);
  grey.convertTo(grey, CV_8U, grey.depth() == CV_16U ? 1.0 / 257.0 : 1.0);
  return {grey.cols, grey.rows, std::string(grey.begin<char>(), grey.end<char>())};
}

const SmallPlate& plate() {
  static const SmallPlate kPlate = small_plate();
  return kPlate;
}

template <typename Number>
std::string bytes_of(const std::vector<Number>& numbers) {
  return {reinterpret_cast<const char*>(numbers.data()), numbers.size() * sizeof(Number)};
}

TiffBytes even_grey(char code) {
  return {kBlankSide, kBlankSide, 1, 8, std::string(std::size_t{kBlankSide} * kBlankSide, code)};
}

// The plate as real numbers, 1 = white, with one of them changed.
std::string real_plate(float odd_value) {
  std::vector<float> light;
  for (const char code : plate().pixels) light.push_back(static_cast<unsigned char>(code) / 255.0F);
  light[light.size() / 2] = odd_value;
  return TiffBytes(plate().width, plate().height, 1, 32, bytes_of(light)).shorts(339, {3}).bytes();
}

std::string noise() {
  std::uint32_t state = 12345;
  std::string pixels(std::size_t{kBlankSide} * kBlankSide, '\0');
  for (char& code : pixels) {
    state = state * 1664525U + 1013904223U;
    code = static_cast<char>(state >> 24U);
  }
  return TiffBytes(kBlankSide, kBlankSide, 1, 8, pixels).bytes();
}

enum class Answer {
  refused,   // exit 1 and one line with these words
  no_plate,  // exit 0, found false, nothing measured
  scored,    // exit 0, the plate found and measured
};

struct Lie {
  const char* name;
  Answer answer;
  const char* words;  // in the refusal, or in the warnings
  std::function<std::string()> bytes;
};

const Lie kLies[] = {
    {"TextCalledTif", Answer::refused, "is not a picture", [] { return "Dear diary, fine light today."; }},
    {"Empty", Answer::refused, "is empty", [] { return ""; }},
    {"MoreRowsThanBytes", Answer::refused, "is incomplete",
     [] { return TiffBytes(plate().width, 4 * plate().height, 1, 8, plate().pixels).bytes(); }},
    {"FewerColumnsThanDrawn", Answer::no_plate, "",
     [] { return TiffBytes(7, plate().height, 1, 8, plate().pixels).bytes(); }},
    {"FortyGigapixelsInAByte", Answer::refused,
     "lie.tif: ", [] { return TiffBytes(200000, 200000, 1, 8, "x").bytes(); }},
    {"OneByOne", Answer::no_plate, "", [] { return TiffBytes(1, 1, 1, 8, "x").bytes(); }},
    {"OneColumn", Answer::no_plate, "",
     [] { return TiffBytes(1, 900, 1, 8, std::string(900, 'x')).bytes(); }},
    {"OneRow", Answer::no_plate, "", [] { return TiffBytes(900, 1, 1, 8, std::string(900, 'x')).bytes(); }},
    {"AllBlack", Answer::no_plate, "", [] { return even_grey('\0').bytes(); }},
    {"AllWhite", Answer::no_plate, "", [] { return even_grey('\xff').bytes(); }},
    {"AllOneGrey", Answer::no_plate, "", [] { return even_grey('x').bytes(); }},
    {"PureNoise", Answer::no_plate, "", noise},
    {"NotANumber", Answer::refused, "not light", [] { return real_plate(std::nanf("")); }},
    {"Infinite", Answer::refused, "not light",
     [] { return real_plate(std::numeric_limits<float>::infinity()); }},
    {"Negative", Answer::refused, "not light", [] { return real_plate(-0.2F); }},
    {"OneBit", Answer::refused, "only 1 bit", [] { return TiffBytes(8, 1, 1, 1, "\xaa").bytes(); }},
    {"Cmyk", Answer::refused, "CMYK",
     [] { return TiffBytes(2, 1, 4, 8, std::string(8, 'x')).shorts(262, {5}).bytes(); }},
    {"SixtyFiveChannels", Answer::refused, "channels",
     [] {
       return TiffBytes(2, 1, 65, 8, std::string(130, 'x')).shorts(338, std::vector<int>(62, 0)).bytes();
     }},
    {"OrientationNought", Answer::scored, "", [] { return plate().tiff().shorts(274, {0}).bytes(); }},
    {"OrientationNine", Answer::scored, "", [] { return plate().tiff().shorts(274, {9}).bytes(); }},
    {"NoDotsToTheInch", Answer::scored, "",
     [] { return plate().tiff().rational(282, 0, 1).rational(283, 0, 1).shorts(296, {2}).bytes(); }},
    {"NoughtByNoughtDots", Answer::scored, "",
     [] { return plate().tiff().rational(282, 0, 0).rational(283, 0, 0).shorts(296, {2}).bytes(); }},
    {"ABillionDotsToTheInch", Answer::scored, "",
     [] {
       return plate()
           .tiff()
           .rational(282, 1000000000, 1)
           .rational(283, 1000000000, 1)
           .shorts(296, {2})
           .bytes();
     }},
    {"TwoPages", Answer::scored, "2 pictures", [] { return plate().tiff().two_pages().bytes(); }},
};

class LyingPictures : public ::testing::TestWithParam<Lie> {
 protected:
  void SetUp() override {
    folder_ = fs::path(::testing::TempDir()) / ("platewise_lie_" + std::to_string(::getpid()));
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  Outcome score(const fs::path& scan, std::vector<std::string> more = {}) {
    std::vector<std::string> arguments{"score", "--json", "-"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    arguments.insert(arguments.end(), {"--", scan.string()});
    return run_program(folder_, arguments, {}, [] { ::alarm(kHangSeconds); });
  }
  void expect_refused(const Outcome& outcome, const std::string& words) {
    EXPECT_EQ(outcome.exit_code, 1) << outcome.out.substr(0, 300);
    EXPECT_THAT(outcome.err, HasSubstr(words));
    EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
    EXPECT_EQ(outcome.out.find("tones"), std::string::npos);
  }

  fs::path folder_;
};

void expect_nothing_measured(const json& score) {
  EXPECT_EQ(score.at("plate").at("found"), false);
  for (const char* key : {"tones", "coverage", "score", "recommendation"}) {
    EXPECT_TRUE(score.at(key).is_null()) << key;
  }
  EXPECT_TRUE(score.at("plate").at("corners_px").is_null());
  EXPECT_TRUE(score.at("faults").empty());
  EXPECT_THAT(score.at("warnings").dump(), HasSubstr("--corners"));
}

TEST_P(LyingPictures, GetTheTruthOrARefusal) {
  const Lie& lie = GetParam();
  ASSERT_TRUE(write_file(folder_ / "lie.tif", lie.bytes()));
  const Outcome outcome = score("lie.tif");
  if (lie.answer == Answer::refused) {
    expect_refused(outcome, lie.words);
    return;
  }
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  const json score = json::parse(outcome.out);
  EXPECT_THAT(score.at("warnings").dump(), HasSubstr(lie.words));
  if (lie.answer == Answer::no_plate) {
    expect_nothing_measured(score);
  } else {
    EXPECT_EQ(score.at("plate").at("found"), true);
    EXPECT_FALSE(score.at("tones").at("range").is_null());
    EXPECT_EQ(score.at("plate").at("scale"), "relative") << "none of these says a size to believe";
  }
}

INSTANTIATE_TEST_SUITE_P(All, LyingPictures, ::testing::ValuesIn(kLies),
                         [](const auto& row) { return std::string(row.param.name); });

using LyingFiles = LyingPictures;

// Where the plate of an honest file lies is where it must lie, whatever the orientation tag claims.
TEST_F(LyingFiles, AnImpossibleOrientationIsNoOrientation) {
  ASSERT_TRUE(write_file(folder_ / "plain.tif", plate().tiff().bytes()));
  ASSERT_TRUE(write_file(folder_ / "nine.tif", plate().tiff().shorts(274, {9}).bytes()));
  const json plain = json::parse(score("plain.tif").out);
  const json nine = json::parse(score("nine.tif").out);
  EXPECT_EQ(plain.at("plate").at("corners_px"), nine.at("plate").at("corners_px"));
}

TEST_F(LyingFiles, CutAtEveryHundredthIsRefusedOrWhole) {
  for (const auto container : {PictureContainer::tiff, PictureContainer::jpeg, PictureContainer::png}) {
    const cv::Mat pixels(plate().height, plate().width, CV_8UC1,
                         const_cast<char*>(plate().pixels.data()));  // only read
    const auto whole = encoded_picture(pixels, {.container = container});
    ASSERT_TRUE(whole);
    std::vector<std::string> cuts;
    for (std::size_t percent = 1; percent < 100; ++percent) {
      cuts.push_back("cut" + std::to_string(percent) + ".tif");
      ASSERT_TRUE(write_file(folder_ / cuts.back(), whole->substr(0, whole->size() * percent / 100)));
    }
    std::vector<std::string> arguments{"score", "--json", "-"};
    arguments.insert(arguments.end(), cuts.begin(), cuts.end());
    const Outcome outcome = run_program(folder_, arguments, {}, [] { ::alarm(kHangSeconds); });
    EXPECT_EQ(outcome.exit_code, 1);
    EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 99) << outcome.err;
    EXPECT_EQ(json::parse(outcome.out).size(), 0U);
  }
}

TEST_F(LyingFiles, WhatIsNoFileIsRefused) {
  ASSERT_EQ(::mkfifo((folder_ / "pipe.tif").c_str(), 0600), 0);
  fs::create_directory(folder_ / "folder.tif");
  for (const auto& [scan, words] : {std::pair{"pipe.tif", "is not an ordinary file"},
                                    {"/dev/zero", "is not an ordinary file"},
                                    {"/dev/null", "is not an ordinary file"},
                                    {"missing.tif", "there is no such file"},
                                    {"folder.tif", "no picture"}}) {
    expect_refused(score(scan), words);
  }
}

TEST_F(LyingFiles, AFileNobodyMayReadIsRefused) {
  ASSERT_TRUE(write_file(folder_ / "closed.tif", plate().tiff().bytes()));
  fs::permissions(folder_ / "closed.tif", fs::perms::none);
  const Outcome outcome = run_program(folder_, {"score", "closed.tif"}, {}, as_nobody);
  expect_refused(outcome, "closed.tif");
  EXPECT_THAT(outcome.err, AnyOf(HasSubstr("not allowed"), HasSubstr("may not"), HasSubstr("permission")));
}

TEST_F(LyingFiles, OddNamesOfGoodFilesAreScored) {
  for (const char* name : {"two words.tif", "new\nline.tif", "quote'\".tif", "pläte-日本.tif",
                           "bad\xff\xfe.tif", "[brackets]*?.tif", "page=2.tif", "%s%n.tif"}) {
    ASSERT_TRUE(write_file(folder_ / name, plate().tiff().bytes()));
    const Outcome outcome = score(name);
    ASSERT_EQ(outcome.exit_code, 0) << name << outcome.err;
    EXPECT_EQ(json::parse(outcome.out).at("plate").at("found"), true) << name;
  }
}

}  // namespace
}  // namespace platewise
