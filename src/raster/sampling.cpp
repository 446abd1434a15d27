#include "platewise/raster/sampling.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise {
namespace {

constexpr float kNone = std::numeric_limits<float>::quiet_NaN();

// Source pixels per target pixel at the target's centre.
double shrink_at_centre(const Homography& source_from_target, int width, int height) {
  const Point centre{width / 2.0, height / 2.0};
  const Point here = source_from_target(centre);
  const double along_x = distance(here, source_from_target(centre + Point{1, 0}));
  const double along_y = distance(here, source_from_target(centre + Point{0, 1}));
  return std::sqrt(along_x * along_y);
}

std::uint8_t srgb_code(float linear) {
  if (!(linear > 0.0F)) return 0;
  const double clipped = std::min(1.0, static_cast<double>(linear));
  const double code = clipped <= 0.0031308 ? 12.92 * clipped : 1.055 * std::pow(clipped, 1.0 / 2.4) - 0.055;
  return static_cast<std::uint8_t>(std::lround(255.0 * code));
}

}  // namespace

cv::Mat resampled(const cv::Mat& source, const Homography& source_from_target, int width, int height) {
  const int factor =
      std::max(1, static_cast<int>(std::lround(shrink_at_centre(source_from_target, width, height))));
  cv::Mat shrunk = source;
  if (factor > 1) {
    const cv::Size size((source.cols + factor - 1) / factor, (source.rows + factor - 1) / factor);
    cv::Mat padded;
    cv::copyMakeBorder(source, padded, 0, size.height * factor - source.rows, 0,
                       size.width * factor - source.cols, cv::BORDER_REPLICATE);
    cv::resize(padded, shrunk, size, 0, 0, cv::INTER_AREA);
  }
  cv::Mat map_x(height, width, CV_32FC1);
  cv::Mat map_y(height, width, CV_32FC1);
  const Eigen::Matrix3d& h = source_from_target.matrix;
  cv::parallel_for_({0, height}, [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      auto* to_x = map_x.ptr<float>(y);
      auto* to_y = map_y.ptr<float>(y);
      const Eigen::Vector3d start = h * Eigen::Vector3d(0.5, y + 0.5, 1.0);
      for (int x = 0; x < width; ++x) {
        const double w = start[2] + x * h(2, 0);
        const double px = (start[0] + x * h(0, 0)) / w;
        const double py = (start[1] + x * h(1, 0)) / w;
        const bool inside = px >= 0 && py >= 0 && px < source.cols && py < source.rows;
        to_x[x] = inside ? static_cast<float>(px / factor - 0.5) : -10.0F;
        to_y[x] = inside ? static_cast<float>(py / factor - 0.5) : -10.0F;
      }
    }
  });
  cv::Mat target;
  cv::remap(shrunk, target, map_x, map_y, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  target.setTo(cv::Scalar::all(kNone), map_x < -5.0F);
  return target;
}

cv::Mat aperture_mean(const cv::Mat& image, int size) {
  cv::Mat valid = image == image;
  cv::Mat values = image.clone();
  values.setTo(0.0F, ~valid);
  cv::Mat weight;
  valid.convertTo(weight, CV_32F, 1.0 / 255.0);
  cv::Mat sum;
  cv::Mat count;
  cv::boxFilter(values, sum, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  cv::boxFilter(weight, count, CV_32F, {size, size}, {-1, -1}, true, cv::BORDER_REPLICATE);
  cv::Mat mean;
  cv::divide(sum, count, mean);
  mean.setTo(kNone, count < 0.5F);
  return mean;
}

double pixel_noise(const cv::Mat& image, const Mask& where) {
  constexpr double kPlenty = 4e5;  // pixels: the median of their noise is known to a quarter of a percent
  const int step = std::max(1, static_cast<int>(static_cast<double>(image.total()) / kPlenty));
  std::vector<float> magnitudes;
  for (int y = 1; y + 1 < image.rows; y += step) {
    const auto* above = image.ptr<float>(y - 1);
    const auto* here = image.ptr<float>(y);
    const auto* below = image.ptr<float>(y + 1);
    const auto* inside = where.empty() ? nullptr : where.inside.ptr<std::uint8_t>(y);
    for (int x = 1; x + 1 < image.cols; ++x) {
      if (inside != nullptr && inside[x] == 0) continue;
      const float curvature = above[x - 1] - 2 * above[x] + above[x + 1] - 2 * here[x - 1] + 4 * here[x] -
                              2 * here[x + 1] + below[x - 1] - 2 * below[x] + below[x + 1];
      if (std::isfinite(curvature)) magnitudes.push_back(std::abs(curvature));
    }
  }
  constexpr std::size_t kEnough = 100;
  if (magnitudes.size() < kEnough) return 0.0;
  const auto middle = magnitudes.begin() + static_cast<std::ptrdiff_t>(magnitudes.size() / 2);
  std::nth_element(magnitudes.begin(), middle, magnitudes.end());
  constexpr double kMaskGain = 6.0;           // root of the sum of the squared weights
  constexpr double kSigmaPerMedian = 1.4826;  // Gaussian
  return kSigmaPerMedian * static_cast<double>(*middle) / kMaskGain;
}

Mask filled(const std::vector<Polygon>& outlines_units, const DensityImage& plate) {
  Mask mask{cv::Mat(plate.rows(), plate.cols(), CV_8UC1, cv::Scalar(0))};
  for (const Polygon& outline : outlines_units) {
    std::vector<cv::Point> points;
    for (const Point& p : outline) {
      points.emplace_back(static_cast<int>(std::lround(p.x * plate.px_per_unit - 0.5)),
                          static_cast<int>(std::lround(p.y * plate.px_per_unit - 0.5)));
    }
    if (points.size() > 2)
      cv::fillPoly(mask.inside, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255));
  }
  return mask;
}

ColourPicture display_picture(const cv::Mat& linear, int long_side_px) {
  cv::Mat shrunk = linear;
  const double scale = static_cast<double>(long_side_px) / std::max({1, linear.rows, linear.cols});
  if (scale < 1.0) cv::resize(linear, shrunk, {}, scale, scale, cv::INTER_AREA);
  cv::Mat grey(shrunk.size(), CV_8UC1);
  for (int y = 0; y < shrunk.rows; ++y) {
    for (int x = 0; x < shrunk.cols; ++x) grey.at<std::uint8_t>(y, x) = srgb_code(shrunk.at<float>(y, x));
  }
  ColourPicture picture;
  cv::cvtColor(grey, picture.rgb, cv::COLOR_GRAY2RGB);
  return picture;
}

}  // namespace platewise
