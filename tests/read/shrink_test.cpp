// Averaging into working pixels, against a plain twin that visits every pixel of every cell.
#include <cmath>

#include "test_pictures.h"

namespace platewise {
namespace {

double srgb_light(int code) {  // IEC 61966-2-1
  const double value = code / 255.0;
  return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

struct Twin {
  cv::Mat mean, least, greatest;
};

Twin plain_shrink(const cv::Mat& grey, int factor) {
  const int rows = (grey.rows + factor - 1) / factor;
  const int cols = (grey.cols + factor - 1) / factor;
  Twin twin{cv::Mat(rows, cols, CV_32F), cv::Mat(rows, cols, CV_32F), cv::Mat(rows, cols, CV_32F)};
  for (int row = 0; row < rows; ++row) {
    for (int col = 0; col < cols; ++col) {
      double sum = 0.0, least = 2.0, greatest = -1.0;
      int count = 0;
      for (int y = row * factor; y < std::min(grey.rows, (row + 1) * factor); ++y) {
        for (int x = col * factor; x < std::min(grey.cols, (col + 1) * factor); ++x) {
          const double light = srgb_light(grey.at<unsigned char>(y, x));
          sum += light;
          least = std::min(least, light);
          greatest = std::max(greatest, light);
          ++count;
        }
      }
      twin.mean.at<float>(row, col) = static_cast<float>(sum / count);
      twin.least.at<float>(row, col) = static_cast<float>(least);
      twin.greatest.at<float>(row, col) = static_cast<float>(greatest);
    }
  }
  return twin;
}

// Real pictures are stored in single precision.
constexpr double kSinglePrecision = 1e-6;

class Shrinking : public ReadTest, public ::testing::WithParamInterface<int> {};

TEST_P(Shrinking, AgreesWithAPlainTwinInLinearLight) {
  const int factor = GetParam();
  const cv::Mat grey = uneven_picture(53, 67, CV_8UC1);
  PictureFormat format;
  format.dpi = 300.0 * factor;  // 11.8 px/mm once shrunk
  const Scan scan = written_and_read(grey, format);
  ASSERT_EQ(scan.scan_px_per_working_px, factor);
  const Twin twin = plain_shrink(grey, factor);
  EXPECT_LT(largest_difference(scan.image.luminance, twin.mean), kSinglePrecision);
  EXPECT_LT(largest_difference(scan.image.darkest, twin.least), kSinglePrecision);
  EXPECT_LT(largest_difference(scan.image.lightest, twin.greatest), kSinglePrecision);
}

INSTANTIATE_TEST_SUITE_P(ByFactors, Shrinking, ::testing::Values(1, 2, 3, 5, 8));

TEST_F(ReadTest, ASpeckOfOnePixelSurvivesTheShrinking) {
  cv::Mat grey(60, 60, CV_8UC1, cv::Scalar(40));
  grey.at<unsigned char>(33, 17) = 255;
  grey.at<unsigned char>(10, 50) = 0;
  PictureFormat format;
  format.dpi = 1800.0;
  const Scan scan = written_and_read(grey, format);
  ASSERT_EQ(scan.scan_px_per_working_px, 6.0);
  EXPECT_FLOAT_EQ(scan.image.lightest.at<float>(33 / 6, 17 / 6), 1.0F);
  EXPECT_FLOAT_EQ(scan.image.darkest.at<float>(10 / 6, 50 / 6), 0.0F);
  EXPECT_EQ(cv::countNonZero(scan.image.lightest > 0.5F), 1);
}

struct FactorCase {
  const char* what;
  double dpi;  // 0: none
  bool camera;
  std::optional<double> plate_long_side_mm;
  int width, height, factor;
};

class ShrinkFactor : public ReadTest, public ::testing::WithParamInterface<FactorCase> {};

TEST_P(ShrinkFactor, ComesFromTheResolutionOrTheSizeInPixels) {
  const FactorCase& row = GetParam();
  PictureFormat format;
  format.container = PictureContainer::jpeg;
  if (row.dpi > 0.0) format.dpi = row.dpi;
  format.from_camera = row.camera;
  ReadOptions options;
  options.plate_long_side_mm = row.plate_long_side_mm;
  const Scan scan = written_and_read(cv::Mat(row.height, row.width, CV_8UC1, cv::Scalar(9)), format, options);
  EXPECT_EQ(scan.scan_px_per_working_px, row.factor) << row.what;
}

INSTANTIATE_TEST_SUITE_P(
    ByFiles, ShrinkFactor,
    ::testing::Values(FactorCase{"600 dpi is 23.6 px/mm", 600, false, {}, 500, 400, 2},
                      FactorCase{"300 dpi is as wanted", 300, false, {}, 500, 400, 1},
                      FactorCase{"a large plate is capped at 6 Mpx", 300, false, {}, 3600, 3000, 2},
                      FactorCase{"nothing known: 4 Mpx", 0, false, {}, 3600, 3000, 2},
                      FactorCase{"96 dpi says nothing", 96, false, {}, 2400, 2400, 2},
                      FactorCase{"a camera's resolution says nothing", 1200, true, {}, 500, 400, 1},
                      FactorCase{"a photo of a large plate keeps what it has", 0, false, 216.0, 2800, 2000,
                                 1}));

}  // namespace
}  // namespace platewise
