#include "printed.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr double kInside = 0.92;   // of the outline: its own edge and a bezel's are left out
constexpr double kAround = 1.05;   // of the outline: its shadow is left out
constexpr int kLeastPixels = 400;  // fewer tell nothing

// Of the search image, lightness of the middle channel; `inside` a shrunken or grown outline.
cv::Mat middle_channel(const SearchImage& search) {
  cv::Mat lightness;
  cv::extractChannel(search.lightness, lightness, search.lightness.channels() / 2);
  return lightness;
}

std::vector<float> sorted_values(const cv::Mat& image, const cv::Mat& mask) {
  std::vector<float> values;
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      if (mask.at<std::uint8_t>(y, x) != 0) values.push_back(image.at<float>(y, x));
    }
  }
  std::sort(values.begin(), values.end());
  return values;
}

double at_share(const std::vector<float>& sorted, double share) {
  return static_cast<double>(
      sorted[static_cast<std::size_t>(share * static_cast<double>(sorted.size() - 1))]);
}

// The image divided by the plane that fits it best in the mask: light falls off across a table.
cv::Mat levelled(const cv::Mat& image, const cv::Mat& mask) {
  cv::Matx33d normal = cv::Matx33d::zeros();
  cv::Vec3d right{};
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      if (mask.at<std::uint8_t>(y, x) == 0) continue;
      const cv::Vec3d place(1.0, static_cast<double>(x) / image.cols, static_cast<double>(y) / image.rows);
      normal += place * place.t();
      right += static_cast<double>(image.at<float>(y, x)) * place;
    }
  }
  const cv::Vec3d plane = normal.solve(right, cv::DECOMP_CHOLESKY);
  cv::Mat level = image.clone();
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      const double fit = plane[0] + plane[1] * x / image.cols + plane[2] * y / image.rows;
      level.at<float>(y, x) /= static_cast<float>(std::max(0.05, fit));
    }
  }
  return level;
}

bool text_in(const SearchImage& search, const cv::Mat& mask) {
  constexpr double kBright = 0.72;  // lightness of paper: 37% of linear full scale and more
  constexpr double kEven = 0.05;    // relative: paper between its 5th and 95th percentile
  constexpr double kStroke = 0.03;  // of the area's side: ink is finer
  constexpr double kInkSigmas = 6.0;
  constexpr double kInkDepth = 0.03;  // relative to the paper; small print is blurred by the search size
  constexpr double kLeastInk = 0.03;  // share of the area
  const cv::Mat lightness = middle_channel(search);
  const int pixels = cv::countNonZero(mask);
  if (pixels < kLeastPixels) return false;
  const int stroke = std::max(3, static_cast<int>(kStroke * std::sqrt(static_cast<double>(pixels))));
  cv::Mat paper;
  cv::morphologyEx(lightness, paper, cv::MORPH_CLOSE, cv::Mat::ones(stroke, stroke, CV_8U));
  if (at_share(sorted_values(paper, mask), 0.5) < kBright) return false;
  const std::vector<float> level = sorted_values(levelled(paper, mask), mask);
  if (at_share(level, 0.05) < 1 - kEven || at_share(level, 0.95) > 1 + kEven) return false;
  const cv::Mat ink =
      ((paper - lightness) > kInkSigmas * search.noise) & (lightness < (1 - kInkDepth) * paper) & mask;
  return cv::countNonZero(ink) > kLeastInk * pixels;
}

}  // namespace

bool bears_text(const SearchImage& search, const Quad& corners) {
  return text_in(search, outline_mask(search.lightness.size(), corners, kInside));
}

bool lies_on_text(const SearchImage& search, const Quad& corners) {
  return text_in(search, ~outline_mask(search.lightness.size(), corners, kAround));
}

double even_ground_share(const SearchImage& search, const std::vector<Quad>& outlines) {
  constexpr double kSame = 0.04;  // relative lightness, beside the noise
  constexpr double kNoiseSigmas = 4.0;
  const cv::Mat lightness = middle_channel(search);
  cv::Mat mask(lightness.size(), CV_8UC1, cv::Scalar::all(255));
  for (const Quad& corners : outlines) mask &= ~outline_mask(lightness.size(), corners, kAround);
  if (cv::countNonZero(mask) < kLeastPixels) return 1.0;
  // The plane is fitted to the ground alone: another plate beside would tilt it.
  constexpr double kGround = 0.2;  // relative to the middle tone
  const double ground = at_share(sorted_values(lightness, mask), 0.5);
  const cv::Mat bed = (lightness > (1 - kGround) * ground) & (lightness < (1 + kGround) * ground) & mask;
  const std::vector<float> tones = sorted_values(levelled(lightness, bed), mask);
  const double middle = at_share(tones, 0.5);
  const double reach = kSame + kNoiseSigmas * search.noise / std::max(0.05, ground);
  const auto near = std::count_if(tones.begin(), tones.end(), [&](float tone) {
    return std::abs(static_cast<double>(tone) - middle) < reach;
  });
  return static_cast<double>(near) / static_cast<double>(tones.size());
}

bool is_flat_between_edges(const SearchImage& search, const Quad& corners) {
  constexpr double kBright = 0.7;   // lightness
  constexpr double kFlat = 2.0;     // upper quartile of the slope over its median: noise alone has 1.5
  constexpr double kSharp = 100.0;  // the steepest fiftieth over it: 9 to 81 on drawn plates
  const cv::Mat lightness = middle_channel(search);
  const cv::Mat mask = outline_mask(lightness.size(), corners, kInside);
  if (cv::countNonZero(mask) < kLeastPixels || at_share(sorted_values(lightness, mask), 0.5) < kBright)
    return false;
  cv::Mat smooth;
  cv::Mat slope_x;
  cv::Mat slope_y;
  cv::GaussianBlur(lightness, smooth, {0, 0}, 1.0);
  cv::Sobel(smooth, slope_x, CV_32F, 1, 0);
  cv::Sobel(smooth, slope_y, CV_32F, 0, 1);
  cv::Mat slope;
  cv::magnitude(slope_x, slope_y, slope);
  const std::vector<float> slopes = sorted_values(slope, mask);
  const double usual = std::max(at_share(slopes, 0.5), 1e-5);
  return at_share(slopes, 0.75) < kFlat * usual && at_share(slopes, 0.98) > kSharp * usual;
}

}  // namespace platewise
