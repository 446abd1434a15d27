#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <opencv2/core.hpp>
#include <random>
#include <string>

#include "platewise/read/read_scan.h"
#include "platewise/write/write_file.h"
#include "platewise/write/write_picture.h"

namespace platewise {

// A folder of its own for each test, with pictures made from pixels or bytes.
class ReadTest : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
    std::string name = std::string(info->test_suite_name()) + "." + info->name();
    for (char& c : name) c = c == '/' ? '_' : c;
    folder_ = std::filesystem::path(::testing::TempDir()) / ("platewise_" + name);
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  [[nodiscard]] std::filesystem::path file(const std::string& name) const { return folder_ / name; }

  // Reads pixels back after writing them; a test failure when that goes wrong.
  Scan written_and_read(const cv::Mat& pixels, const PictureFormat& format, const ReadOptions& options = {}) {
    const auto path = file("picture");
    const auto written = write_picture(path, pixels, format);
    if (!written) ADD_FAILURE() << written.error().message();
    auto scan = read_scan(path, options);
    if (scan) return *std::move(scan);
    ADD_FAILURE() << scan.error().message();
    return {};
  }

  std::filesystem::path folder_;
};

// Noise over a ramp, so that no two places look alike. Seeded.
inline cv::Mat uneven_picture(int rows, int cols, int type, unsigned seed = 7) {
  std::mt19937 random(seed);
  cv::Mat picture(rows, cols, type);
  const int full = picture.depth() == CV_16U ? 65535 : 255;
  for (int row = 0; row < rows; ++row) {
    for (int value = 0; value < cols * picture.channels(); ++value) {
      const int code = (row * 31 + value * 17 + static_cast<int>(random() % 97)) % (full + 1);
      if (full == 255) {
        picture.ptr<unsigned char>(row)[value] = static_cast<unsigned char>(code);
      } else {
        picture.ptr<unsigned short>(row)[value] = static_cast<unsigned short>((code * 257) & full);
      }
    }
  }
  return picture;
}

inline double largest_difference(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() && a.type() == b.type() ? cv::norm(a, b, cv::NORM_INF) : 1e9;
}

}  // namespace platewise
