#include "accuracy/surround.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

cv::Mat tinted(const cv::Mat& grey, const cv::Scalar& colour) {
  cv::Mat rgb;
  cv::cvtColor(cv::max(grey, 0.002), rgb, cv::COLOR_GRAY2RGB);
  return rgb.mul(colour);
}

cv::Scalar shade(Random& random, double level, double warm) {
  return {level * (1.0 + warm + random.normal(0, 0.03)), level,
          level * (1.0 - warm + random.normal(0, 0.03))};
}

void dust(Random& random, cv::Mat& surface, double level, double per_million_px) {
  const int specks = static_cast<int>(per_million_px * static_cast<double>(surface.total()) / 1e6);
  for (int i = 0; i < specks; ++i)
    cv::circle(surface, {random.integer(0, surface.cols - 1), random.integer(0, surface.rows - 1)},
               random.integer(0, 1), cv::Scalar::all(level * random.uniform(0.4, 1.0)), -1);
}

}  // namespace

cv::Mat wood(Random& random, cv::Size size, double px_per_mm) {
  const bool along_x = random.chance(0.5);
  const double long_px = std::max(2.0, px_per_mm * random.uniform(40, 160));
  const double short_px = std::max(2.0, px_per_mm * random.uniform(0.4, 2.5));
  cv::Mat grey = cv::Mat::ones(size, CV_32FC1);
  for (int i = 0; i < 3; ++i) {
    const double scale = std::pow(3.0, i);
    grey += random.uniform(0.05, 0.2) * (along_x ? smooth_noise(random, size, long_px, short_px * scale)
                                                 : smooth_noise(random, size, short_px * scale, long_px));
  }
  const double plank = px_per_mm * random.uniform(50, 140);
  const int across = along_x ? size.height : size.width;
  for (double at = random.uniform(0, plank); at < across; at += plank) {
    const int p = static_cast<int>(at);
    cv::line(grey, along_x ? cv::Point(0, p) : cv::Point(p, 0),
             along_x ? cv::Point(size.width, p) : cv::Point(p, size.height), cv::Scalar(0.25),
             std::max(1, static_cast<int>(px_per_mm * random.uniform(0.3, 1.5))));
  }
  return tinted(grey, shade(random, random.log_uniform(0.06, 0.45), random.uniform(0.1, 0.5)));
}

cv::Mat cloth(Random& random, cv::Size size, double px_per_mm) {
  const double thread_x = std::max(2.5, px_per_mm * random.uniform(0.4, 1.2));
  const double thread_y = thread_x * random.uniform(0.8, 1.2);
  const double depth = random.uniform(0.05, 0.3);
  const cv::Mat wrinkle = cloud(random, size, px_per_mm * random.uniform(30, 90), 3);
  const cv::Mat fuzz = white_noise(random, size);
  cv::Mat grey(size, CV_32FC1);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const double weave =
          std::sin(2 * std::numbers::pi * x / thread_x) * std::sin(2 * std::numbers::pi * y / thread_y);
      grey.at<float>(y, x) = static_cast<float>(1.0 + depth * weave + 0.25 * wrinkle.at<float>(y, x) +
                                                0.06 * fuzz.at<float>(y, x));
    }
  return tinted(grey, shade(random, random.log_uniform(0.02, 0.6), random.normal(0.0, 0.2)));
}

cv::Mat paper(Random& random, cv::Size size, double px_per_mm) {
  cv::Mat fibre = white_noise(random, size);
  cv::GaussianBlur(fibre, fibre, {}, std::max(0.5, 0.1 * px_per_mm));
  cv::Mat grey = 1.0 + 0.02 * cloud(random, size, px_per_mm * 60, 3) + 0.02 * fibre;
  if (random.chance(0.25))
    for (double at = 0; at < size.height; at += 8 * px_per_mm)
      cv::line(grey, {0, static_cast<int>(at)}, {size.width, static_cast<int>(at)}, cv::Scalar(0.8), 1);
  return tinted(grey, shade(random, random.uniform(0.55, 0.88), random.uniform(-0.02, 0.08)));
}

cv::Mat stone(Random& random, cv::Size size, double px_per_mm) {
  const cv::Mat grey = 1.0 +
                       random.uniform(0.2, 0.6) * cloud(random, size, px_per_mm * random.uniform(5, 40), 6) +
                       random.uniform(0.02, 0.15) * white_noise(random, size);
  return tinted(grey, shade(random, random.log_uniform(0.03, 0.4), random.normal(0.0, 0.05)));
}

cv::Mat table_top(Random& random, cv::Size size, double px_per_mm) {
  switch (random.integer(0, 4)) {
    case 0:
    case 1:
      return wood(random, size, px_per_mm);
    case 2:
      return cloth(random, size, px_per_mm);
    case 3:
      return paper(random, size, px_per_mm);
    default:
      return stone(random, size, px_per_mm);
  }
}

cv::Mat white_lid(Random& random, cv::Size size, double px_per_mm) {
  const double level = random.chance(0.8) ? random.uniform(0.72, 0.95) : random.uniform(0.4, 0.72);
  const cv::Mat grey = 1.0 + random.uniform(0.0, 0.05) * cloud(random, size, px_per_mm * 80, 2) +
                       random.uniform(0.0, 0.01) * white_noise(random, size);
  cv::Mat lid = tinted(grey, shade(random, level, random.normal(0.0, 0.01)));
  dust(random, lid, level * 0.8, random.log_uniform(1, 60));
  return lid;
}

cv::Mat black_bed(Random& random, cv::Size size, double px_per_mm) {
  const double level = random.log_uniform(0.004, 0.05);
  const cv::Mat grey = 1.0 + 0.2 * cloud(random, size, px_per_mm * 60, 2);
  cv::Mat bed = tinted(grey, cv::Scalar::all(1.0)) * level;
  dust(random, bed, 0.4, random.log_uniform(1, 60));
  return bed;
}

cv::Mat light_table(Random& random, cv::Size size) {
  const cv::Mat grey = 1.0 + 0.02 * cloud(random, size, size.width / 1.5, 2);
  return tinted(grey, cv::Scalar::all(random.uniform(0.93, 1.0)));
}

}  // namespace platewise::heldout
