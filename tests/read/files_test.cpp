// What a file says of itself, and that the way it is stored changes nothing.
#include <gmock/gmock.h>

#include <numeric>

#include "test_pictures.h"
#include "tiff_bytes.h"

namespace platewise {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

std::string pixels_of(int count) {
  std::string pixels(static_cast<std::size_t>(count), '\0');
  std::iota(pixels.begin(), pixels.end(), static_cast<char>(1));
  return pixels;
}

class Files : public ReadTest {
 protected:
  Scan read_bytes(const std::string& bytes, const ReadOptions& options = {}) {
    EXPECT_TRUE(write_file(file("picture"), bytes));
    auto scan = read_scan(file("picture"), options);
    if (scan) return *std::move(scan);
    ADD_FAILURE() << scan.error().message();
    return {};
  }
};

// ---- storage ----

struct Storage {
  const char* name;
  PictureFormat format;
};

class Stored : public ReadTest, public ::testing::WithParamInterface<Storage> {};

TEST_P(Stored, TheWayOfStoringChangesNoPixel) {
  for (const int type : {CV_8UC1, CV_8UC3, CV_16UC1, CV_16UC3}) {
    const cv::Mat pixels = uneven_picture(150, 211, type);
    const Scan plain = written_and_read(pixels, {});
    const Scan stored = written_and_read(pixels, GetParam().format);
    EXPECT_EQ(largest_difference(stored.image.luminance, plain.image.luminance), 0.0);
    EXPECT_EQ(largest_difference(stored.image.darkest, plain.image.darkest), 0.0);
    EXPECT_EQ(stored.image.rgb.empty(), type == CV_8UC1 || type == CV_16UC1);
    if (plain.channels == 3) {
      EXPECT_EQ(largest_difference(stored.image.rgb, plain.image.rgb), 0.0);
    }
    EXPECT_EQ(stored.bits, pixels.depth() == CV_16U ? 16 : 8);
    EXPECT_EQ(stored.channels, pixels.channels());
  }
}

INSTANTIATE_TEST_SUITE_P(ByStorage, Stored,
                         ::testing::Values(Storage{"lzw", {.compression = TiffCompression::lzw}},
                                           Storage{"deflate", {.compression = TiffCompression::deflate}},
                                           Storage{"tiles", {.tiled = true}},
                                           Storage{"lzwTiles",
                                                   {.compression = TiffCompression::lzw, .tiled = true}},
                                           Storage{"png", {.container = PictureContainer::png}}),
                         [](const auto& row) { return row.param.name; });

TEST_F(Files, EightAndSixteenBitsOfOnePictureAgree) {
  const cv::Mat eight = uneven_picture(60, 80, CV_8UC3);
  cv::Mat sixteen;
  eight.convertTo(sixteen, CV_16U, 257.0);  // 255 * 257 = 65535
  PictureFormat format;
  format.profile = EmbeddedProfile::srgb;
  const Scan a = written_and_read(eight, format);
  const Scan b = written_and_read(sixteen, format);
  constexpr double kSinglePrecision = 1e-6;
  EXPECT_LT(largest_difference(a.image.luminance, b.image.luminance), kSinglePrecision);
  EXPECT_LT(largest_difference(a.image.rgb, b.image.rgb), kSinglePrecision);
}

// ---- orientation (Exif 2.3, tag 0x0112) ----

// Where the stored picture's pixel (row, col) is seen once upright, from the tag's definition: which side of
// the stored picture is the visual top (its 0th row) and left (its 0th column).
cv::Mat upright_by_definition(const cv::Mat& stored, int orientation) {
  const bool turned = orientation >= 5;
  cv::Mat upright(turned ? stored.cols : stored.rows, turned ? stored.rows : stored.cols, stored.type());
  const int bottom = stored.rows - 1, right = stored.cols - 1;
  for (int row = 0; row < stored.rows; ++row) {
    for (int col = 0; col < stored.cols; ++col) {
      const int places[8][2] = {
          {row, col}, {row, right - col},  {bottom - row, right - col}, {bottom - row, col},
          {col, row}, {col, bottom - row}, {right - col, bottom - row}, {right - col, row}};
      const int* place = places[orientation - 1];
      upright.at<unsigned char>(place[0], place[1]) = stored.at<unsigned char>(row, col);
    }
  }
  return upright;
}

class Orientation : public ReadTest, public ::testing::WithParamInterface<int> {};

TEST_P(Orientation, IsAppliedBeforeShrinking) {
  const cv::Mat stored = uneven_picture(41, 59, CV_8UC1);  // neither side is a multiple of the factor
  PictureFormat turned, plain;
  turned.orientation = GetParam();
  turned.dpi = plain.dpi = 1200.0;
  const Scan scan = written_and_read(stored, turned);
  const Scan expected = written_and_read(upright_by_definition(stored, GetParam()), plain);
  ASSERT_EQ(scan.scan_px_per_working_px, 4.0);
  EXPECT_EQ(scan.width_px, expected.width_px);
  EXPECT_EQ(scan.height_px, expected.height_px);
  constexpr double kOtherOrderOfSumming = 1e-6;
  EXPECT_LT(largest_difference(scan.image.luminance, expected.image.luminance), kOtherOrderOfSumming);
  EXPECT_EQ(largest_difference(scan.image.darkest, expected.image.darkest), 0.0);
  EXPECT_EQ(largest_difference(scan.image.lightest, expected.image.lightest), 0.0);
}

INSTANTIATE_TEST_SUITE_P(All, Orientation, ::testing::Range(1, 9));

TEST_F(Files, ImpossibleOrientationsMeanAsStored) {
  for (const int orientation : {0, 9, 65535}) {
    const Scan scan = read_bytes(TiffBytes(3, 2, 1, 8, pixels_of(6)).shorts(274, {orientation}).bytes());
    EXPECT_EQ(scan.width_px, 3) << orientation;
  }
}

// ---- resolution and camera ----

TEST_F(Files, ResolutionIsReadFromEveryFormat) {
  for (const PictureContainer container :
       {PictureContainer::tiff, PictureContainer::png, PictureContainer::jpeg}) {
    PictureFormat format;
    format.container = container;
    format.dpi = 1200.0;
    const Scan scan = written_and_read(uneven_picture(9, 9, CV_8UC1), format);
    ASSERT_TRUE(scan.resolution_dpi.has_value()) << name_of(container);
    EXPECT_NEAR(*scan.resolution_dpi, 1200.0, 0.02) << name_of(container);  // PNG counts pixels a metre
    format.dpi.reset();
    EXPECT_FALSE(written_and_read(uneven_picture(9, 9, CV_8UC1), format).resolution_dpi);
  }
}

TEST_F(Files, NonsenseResolutionIsNoResolution) {
  const auto tiff = [](std::uint32_t over, std::uint32_t under, int unit) {
    return TiffBytes(3, 2, 1, 8, pixels_of(6))
        .rational(282, over, under)
        .rational(283, over, under)
        .shorts(296, {unit})
        .bytes();
  };
  EXPECT_FALSE(read_bytes(tiff(0, 1, 2)).resolution_dpi);
  EXPECT_FALSE(read_bytes(tiff(0, 0, 2)).resolution_dpi);
  EXPECT_FALSE(read_bytes(tiff(600, 0, 2)).resolution_dpi);
  EXPECT_FALSE(read_bytes(tiff(4000000000U, 1, 2)).resolution_dpi);
  EXPECT_FALSE(read_bytes(tiff(300, 1, 1)).resolution_dpi) << "unit 1: only the ratio is meant";
  EXPECT_NEAR(read_bytes(tiff(300, 1, 2)).resolution_dpi.value_or(0), 300.0, 1e-3);
  EXPECT_NEAR(read_bytes(tiff(200, 1, 3)).resolution_dpi.value_or(0), 508.0, 1e-3);
}

TEST_F(Files, UnequalResolutionsAreNotUsedAndSaidSo) {
  const Scan scan = read_bytes(TiffBytes(3, 2, 1, 8, pixels_of(6))
                                   .rational(282, 600, 1)
                                   .rational(283, 300, 1)
                                   .shorts(296, {2})
                                   .bytes());
  EXPECT_FALSE(scan.resolution_dpi);
  EXPECT_THAT(scan.warnings, Contains(HasSubstr("across and along differ")));
}

TEST_F(Files, ACameraIsKnownByItsExposureFields) {
  PictureFormat format;
  format.container = PictureContainer::jpeg;
  EXPECT_FALSE(written_and_read(uneven_picture(9, 9, CV_8UC3), format).from_camera);
  format.from_camera = true;
  EXPECT_TRUE(written_and_read(uneven_picture(9, 9, CV_8UC3), format).from_camera);
  const auto tiff = [](int tag) { return TiffBytes(3, 2, 1, 8, pixels_of(6)).exif({tag}).bytes(); };
  constexpr int kFNumber = 0x829D, kDateTimeOriginal = 0x9003;
  EXPECT_TRUE(read_bytes(tiff(kFNumber)).from_camera);
  EXPECT_FALSE(read_bytes(tiff(kDateTimeOriginal)).from_camera) << "scanners write the date as well";
}

// ---- extra channels, pages, sums ----

TEST_F(Files, AlphaIsLeftOutAndSaidSo) {
  TiffBytes rgba(2, 1, 4, 8, std::string("\xff\xff\xff\xff\x80\x80\x80\x00", 8));
  const Scan scan = read_bytes(rgba.shorts(338, {2}).bytes());
  EXPECT_EQ(scan.channels, 3);
  EXPECT_FLOAT_EQ(scan.image.luminance.at<float>(0, 0), 1.0F);
  EXPECT_NEAR(scan.image.luminance.at<float>(0, 1), 0.2158605, 1e-6);  // colour_checks.json, code 128
  EXPECT_THAT(scan.warnings, Contains(HasSubstr("transparent")));
  const Scan grey =
      read_bytes(TiffBytes(2, 1, 2, 8, std::string("\xff\xff\x80\xff", 4)).shorts(338, {2}).bytes());
  EXPECT_EQ(grey.channels, 1);
  EXPECT_THAT(grey.warnings, Contains(HasSubstr("extra channel")));
}

TEST_F(Files, OfSeveralPagesTheFirstIsRead) {
  const Scan scan = read_bytes(TiffBytes(3, 2, 1, 8, pixels_of(6)).two_pages().bytes());
  EXPECT_EQ(scan.height_px, 2);
  EXPECT_THAT(scan.warnings, Contains(HasSubstr("holds 2 pictures")));
}

TEST_F(Files, RealNumbersAreLinearLight) {
  const float values[] = {0.0F, 0.25F, 1.0F};
  const std::string pixels(reinterpret_cast<const char*>(values), sizeof values);
  const Scan scan = read_bytes(TiffBytes(3, 1, 1, 32, pixels).shorts(339, {3}).bytes());
  EXPECT_EQ(scan.bits, 32);
  for (int col = 0; col < 3; ++col) EXPECT_EQ(scan.image.luminance.at<float>(0, col), values[col]);
}

// FIPS 180-4's example "abc" ends in ...15ad; here the sum must be that of the file, not of its pixels.
TEST_F(Files, TheSumIsThatOfTheBytes) {
  const std::string bytes = TiffBytes(3, 2, 1, 8, pixels_of(6)).bytes();
  const Scan a = read_bytes(bytes);
  const Scan b = read_bytes(bytes + "x");
  EXPECT_EQ(a.sha256.size(), 64U);
  EXPECT_NE(a.sha256, b.sha256);
  EXPECT_EQ(largest_difference(a.image.luminance, b.image.luminance), 0.0);
}

TEST_F(Files, ProgressRunsToTheEnd) {
  double last = 0.0;
  bool rising = true;
  ReadOptions options;
  options.progress = [&](double done) {
    rising = rising && done >= last;
    last = done;
  };
  ASSERT_TRUE(write_picture(file("picture"), uneven_picture(500, 20, CV_8UC1), {}));
  ASSERT_TRUE(read_scan(file("picture"), options));
  EXPECT_TRUE(rising);
  EXPECT_DOUBLE_EQ(last, 1.0);
}

}  // namespace
}  // namespace platewise
