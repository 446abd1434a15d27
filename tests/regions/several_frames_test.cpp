#include "platewise/regions/several_frames.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "drawn_plate.h"

namespace platewise::test {
namespace {

// `count` pictures in a row with black borders between; the light changes from one to the next. Of one scene
// each, moved by a pixel or two, or of another each.
DensityImage frames_in_a_row(int count, bool lying, bool of_one_scene, std::uint64_t seed) {
  constexpr int kWidth = 300;
  constexpr int kHeight = 260;
  constexpr int kBorder = 10;
  cv::Mat all(count * (kHeight + kBorder) - kBorder, kWidth, CV_32FC1, cv::Scalar(1.3));
  for (int k = 0; k < count; ++k) {
    const auto scene_seed = seed + (of_one_scene ? 0U : 100U * static_cast<std::uint64_t>(k));
    const cv::Mat scene = drawn_scene(kWidth + 8, kHeight + 8, scene_seed);
    const cv::Mat density = 1.2 - (0.9 - 0.1 * k) * scene(cv::Rect(2 + k, 3, kWidth, kHeight));
    density.copyTo(all(cv::Rect(0, k * (kHeight + kBorder), kWidth, kHeight)));
  }
  cv::RNG random(seed);
  cv::Mat grain(all.size(), CV_32FC1);
  random.fill(grain, cv::RNG::NORMAL, 0.0, 0.02);
  all += grain;
  if (lying) cv::transpose(all, all);
  return {all, 4.0};
}

TEST(SeveralFrames, AreCountedEitherWay) {
  int right = 0;
  int all = 0;
  for (const int count : {2, 3, 4}) {
    for (const bool lying : {false, true}) {
      for (const std::uint64_t seed : {1U, 2U, 3U, 4U}) {
        right += frames_on(frames_in_a_row(count, lying, true, seed)) == count ? 1 : 0;
        ++all;
      }
    }
  }
  EXPECT_GE(right, 0.9 * all);
}

TEST(SeveralFrames, OneSceneIsOneFrame) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    EXPECT_EQ(frames_on(frames_in_a_row(1, seed % 2 == 0, true, seed)), 1) << seed;
  }
}

// A house of three like storeys between string courses comes again at equal distances too, but across as
// well.
TEST(SeveralFrames, AFacadeIsOneFrame) {
  cv::Mat density(720, 560, CV_32FC1, cv::Scalar(0.6));
  for (int row = 0; row < 6; ++row) {
    density.rowRange(120 * row, 120 * row + 4).setTo(0.9);
    for (int column = 0; column < 5; ++column)
      cv::rectangle(density, cv::Rect(20 + 110 * column, 30 + 120 * row, 60, 70), cv::Scalar(1.2),
                    cv::FILLED);
  }
  EXPECT_EQ(frames_on({density, 5.0}), 1);
}

}  // namespace
}  // namespace platewise::test
