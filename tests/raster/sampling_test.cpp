#include "platewise/raster/sampling.h"

#include <gtest/gtest.h>

#include <cmath>

namespace platewise {
namespace {

cv::Mat noise(int size, double sigma, std::uint64_t seed) {
  cv::Mat image(size, size, CV_32FC1);
  cv::RNG random(seed);
  random.fill(image, cv::RNG::NORMAL, 0.5, sigma);
  return image;
}

TEST(Sampling, ShrinkingAveragesOverTheAperture) {
  const cv::Mat source = noise(400, 0.1, 7);
  Homography source_from_target;
  source_from_target.matrix(0, 0) = source_from_target.matrix(1, 1) = 4.0;
  const cv::Mat target = resampled(source, source_from_target, 100, 100);
  cv::Scalar mean;
  cv::Scalar deviation;
  cv::meanStdDev(target, mean, deviation);
  EXPECT_NEAR(mean[0], cv::mean(source)[0], 1e-5);
  EXPECT_NEAR(deviation[0], 0.1 / 4.0, 0.002);
}

TEST(Sampling, IdentityKeepsEveryPixel) {
  const cv::Mat source = noise(50, 0.1, 8);
  EXPECT_LT(cv::norm(resampled(source, {}, 50, 50), source, cv::NORM_INF), 1e-6);
}

TEST(Sampling, OutsideTheSourceThereIsNoValue) {
  Homography shift;
  shift.matrix(0, 2) = -10.0;
  const cv::Mat target = resampled(noise(50, 0.1, 9), shift, 50, 50);
  EXPECT_TRUE(std::isnan(target.at<float>(20, 5)));
  EXPECT_FALSE(std::isnan(target.at<float>(20, 15)));
}

TEST(Sampling, NoiseIsFoundOnASlopeAndDespiteEdges) {
  for (const double sigma : {0.01, 0.05, 0.2}) {
    cv::Mat image = noise(200, sigma, 10);
    for (int x = 0; x < image.cols; ++x) image.col(x) += 0.01 * x + (x > 100 ? 3.0 : 0.0);
    EXPECT_NEAR(pixel_noise(image, {}), sigma, 0.04 * sigma);
  }
}

TEST(Sampling, ApertureMeanLeavesOutMissingPixels) {
  cv::Mat image(20, 20, CV_32FC1, cv::Scalar(2.0));
  image.at<float>(10, 10) = NAN;
  EXPECT_FLOAT_EQ(aperture_mean(image, 5).at<float>(10, 10), 2.0F);
}

}  // namespace
}  // namespace platewise
