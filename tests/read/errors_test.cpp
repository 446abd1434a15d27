// What cannot be read ends in one sentence naming file and cause, quickly and whatever the damage.
#include <gmock/gmock.h>
#include <sys/stat.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>

#include "platewise/read/formats.h"
#include "test_pictures.h"
#include "tiff_bytes.h"

namespace platewise {
namespace {

namespace fs = std::filesystem;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

std::string contents(const fs::path& path) {
  std::ostringstream text;
  text << std::ifstream(path, std::ios::binary).rdbuf();
  return text.str();
}

// No words of the libraries, no line breaks.
void expect_photographers_words(const Problem& problem) {
  EXPECT_THAT(problem.message(), AllOf(Not(HasSubstr("vips")), Not(HasSubstr("load:")), Not(HasSubstr("\n")),
                                       Not(HasSubstr("Vips")), Not(HasSubstr("libtiff"))));
}

class Errors : public ReadTest {
 protected:
  void expect_problem(const fs::path& path, const std::string& words, const ReadOptions& options = {}) {
    const auto scan = read_scan(path, options);
    ASSERT_FALSE(scan) << words;
    EXPECT_EQ(scan.error().where, path.string());
    EXPECT_THAT(scan.error().message(), HasSubstr(words));
    expect_photographers_words(scan.error());
  }
  void expect_problem_of_bytes(const std::string& bytes, const std::string& words) {
    ASSERT_TRUE(write_file(file("picture.tif"), bytes));
    expect_problem(file("picture.tif"), words);
  }
};

TEST_F(Errors, FilesThatAreNoFiles) {
  expect_problem(file("missing.tif"), "there is no such file");
  expect_problem(folder_, "is a folder");
  ASSERT_EQ(::mkfifo(file("pipe.tif").c_str(), 0600), 0);
  expect_problem(file("pipe.tif"), "is not an ordinary file");
  expect_problem("/dev/zero", "is not an ordinary file");
  fs::create_symlink("loop", file("loop"));
  expect_problem(file("loop"), "leads nowhere");
  ASSERT_TRUE(write_file(file("empty.tif"), ""));
  expect_problem(file("empty.tif"), "is empty");
}

TEST_F(Errors, FilesThatAreNoPictures) {
  expect_problem_of_bytes("Dear diary", "is not a picture");
  expect_problem_of_bytes("%PDF-1.7 and so on", "PDF");
  expect_problem_of_bytes("GIF89a", "GIF");
  expect_problem_of_bytes("<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>", "drawing");
  expect_problem_of_bytes("I", "is not a picture");
  expect_problem_of_bytes("II*" + std::string(1, '\0'), "TIFF");
  expect_problem_of_bytes("\xff\xd8\xff", "JPEG");
}

TEST_F(Errors, PicturesThatCarryNoDensity) {
  expect_problem_of_bytes(TiffBytes(2, 1, 4, 8, std::string(8, 'x')).shorts(262, {5}).bytes(), "CMYK");
  expect_problem_of_bytes(TiffBytes(2, 1, 6, 8, std::string(12, 'x')).shorts(338, {0, 0, 0}).bytes(),
                          "more than four channels");
  expect_problem_of_bytes(TiffBytes(8, 1, 1, 1, "\xaa").bytes(), "only 1 bit a pixel");
  expect_problem_of_bytes(TiffBytes(2, 1, 1, 4, "\xaa").bytes(), "only 4 bits a pixel");
  expect_problem_of_bytes(TiffBytes(2, 1, 3, 8, std::string(6, 'x')).shorts(262, {8}).bytes(),
                          "neither grey nor RGB");
  expect_problem_of_bytes(TiffBytes(2, 1, 1, 32, std::string(8, 'x')).bytes(), "32-bit real");
}

TEST_F(Errors, RealNumbersThatAreNoLight) {
  for (const float bad : {-0.01F, 1.5F, std::nanf(""), std::numeric_limits<float>::infinity()}) {
    const float values[] = {0.5F, bad, 0.5F};
    const std::string pixels(reinterpret_cast<const char*>(values), sizeof values);
    expect_problem_of_bytes(TiffBytes(3, 1, 1, 32, pixels).shorts(339, {3}).bytes(), "not light");
  }
}

TEST_F(Errors, TheLimitIsCheckedBeforeDecoding) {
  // Claims 60000 x 60000 pixels in a handful of bytes.
  const std::string bomb = TiffBytes(60000, 60000, 1, 8, "xxxx").bytes();
  ASSERT_TRUE(write_file(file("bomb.tif"), bomb));
  ReadOptions options;
  options.scan_pixels_max = 1e9;
  expect_problem(file("bomb.tif"), "too large: 60000 x 60000", options);
}

TEST_F(Errors, TheSmallestPicturesAreRead) {
  for (const cv::Size size : {cv::Size(1, 1), cv::Size(1, 500), cv::Size(500, 1)}) {
    PictureFormat format;
    format.dpi = 2400.0;
    const Scan scan = written_and_read(cv::Mat(size, CV_8UC1, cv::Scalar(255)), format);
    EXPECT_EQ(scan.width_px, size.width);
    EXPECT_FLOAT_EQ(scan.image.luminance.at<float>(0, 0), 1.0F);
  }
}

TEST_F(Errors, OddNamesAreNamed) {
  const fs::path odd = file("plate\nno \xff 1.tif");
  ASSERT_TRUE(write_file(odd, "no"));
  const auto scan = read_scan(odd);
  ASSERT_FALSE(scan);
  EXPECT_THAT(scan.error().message(), AllOf(HasSubstr("plate\\nno"), Not(HasSubstr("\n"))));
  ASSERT_TRUE(write_picture(odd, uneven_picture(4, 4, CV_8UC1), {}));
  EXPECT_TRUE(read_scan(odd));
}

// ---- damage ----

// A shortened file is told from a whole one, unless every pixel is still there.
void expect_truncation_is_seen(const fs::path& whole, const fs::path& part) {
  const std::string bytes = contents(whole);
  const auto full = read_scan(whole);
  ASSERT_TRUE(full) << full.error().message();
  constexpr std::size_t kCuts = 40;
  for (std::size_t i = 1; i < kCuts; ++i) {
    const std::size_t size = std::max<std::size_t>(1, bytes.size() * i / kCuts);
    ASSERT_TRUE(write_file(part, bytes.substr(0, size)));
    const auto scan = read_scan(part);
    if (!scan) {
      expect_photographers_words(scan.error());
    } else {
      EXPECT_EQ(largest_difference(scan->image.luminance, full->image.luminance), 0.0)
          << whole << " cut to " << size << " of " << bytes.size() << " bytes";
    }
  }
}

TEST_F(Errors, TruncationIsSeenInWrittenFiles) {
  for (const PictureFormat& format : {PictureFormat{}, PictureFormat{.compression = TiffCompression::lzw},
                                      PictureFormat{.compression = TiffCompression::deflate, .tiled = true},
                                      PictureFormat{.container = PictureContainer::png},
                                      PictureFormat{.container = PictureContainer::jpeg}}) {
    ASSERT_TRUE(write_picture(file("whole"), uneven_picture(150, 170, CV_8UC3), format));
    expect_truncation_is_seen(file("whole"), file("part"));
  }
}

fs::path picture_in(const Format& format, const std::string& stem) {
  const fs::path folder = fs::path(PLATEWISE_TEST_IMAGES_DIR) / "formats" / std::string(format.name);
  if (!fs::is_directory(folder)) return {};
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (entry.path().stem() == stem) return entry.path();
  }
  return {};
}

// Every row of the table of formats has a good picture (a ramp of grey from black to white, left to right,
// 48 x 32) and a corrupt one. Lossy formats move the codes a little.
TEST_F(Errors, EveryFormatHasAGoodAndACorruptFile) {
  for (const Format& format : formats()) {
    const fs::path good = picture_in(format, "good");
    const auto scan = read_scan(good);
    ASSERT_TRUE(scan) << format.name << ": " << (scan ? "" : scan.error().message());
    EXPECT_EQ(scan->width_px, 48) << format.name;
    EXPECT_EQ(scan->height_px, 32) << format.name;
    constexpr double kLossyLight = 0.02;
    EXPECT_NEAR(scan->image.luminance.at<float>(16, 0), 0.0, kLossyLight) << format.name;
    EXPECT_NEAR(scan->image.luminance.at<float>(16, 24), 0.223, kLossyLight) << format.name;  // sRGB 130
    EXPECT_NEAR(scan->image.luminance.at<float>(16, 47), 1.0, kLossyLight) << format.name;
    const auto corrupt = read_scan(picture_in(format, "corrupt"));
    ASSERT_FALSE(corrupt) << format.name;
    EXPECT_NE(corrupt.error().what, "there is no such file") << format.name;
    expect_photographers_words(corrupt.error());
  }
}

TEST_F(Errors, TruncationIsSeenInEveryFormat) {
  for (const Format& format : formats()) expect_truncation_is_seen(picture_in(format, "good"), file("part"));
}

// Damaged bytes anywhere: a Problem or a picture, never a crash or a hang.
TEST_F(Errors, FlippedBytesNeverCrash) {
  std::mt19937 random(11);
  for (const Format& format : formats()) {
    const std::string bytes = contents(picture_in(format, "good"));
    for (int round = 0; round < 60; ++round) {
      std::string damaged = bytes;
      for (int flips = 0; flips < 3; ++flips) {
        damaged[random() % damaged.size()] = static_cast<char>(random());
      }
      ASSERT_TRUE(write_file(file("damaged"), damaged));
      ReadOptions options;
      options.scan_pixels_max = 1e7;
      const auto scan = read_scan(file("damaged"), options);
      if (!scan) expect_photographers_words(scan.error());
    }
  }
}

}  // namespace
}  // namespace platewise
