#include "drawn_plate.h"

#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace platewise::test {
namespace {

// Gaussian noise with blobs of about `cell` pixels, sigma 1.
cv::Mat mottle(int width, int height, double cell, cv::RNG& random) {
  cv::Mat coarse(static_cast<int>(height / cell) + 2, static_cast<int>(width / cell) + 2, CV_32FC1);
  random.fill(coarse, cv::RNG::NORMAL, 0.0, 1.0);
  cv::Mat fine;
  cv::resize(coarse, fine, {width, height}, 0, 0, cv::INTER_CUBIC);
  return fine;
}

// Distance-like field that is negative where the film is missing.
cv::Mat film_reach(const DrawnPlate& options, int width, int height, double unit, cv::RNG& random) {
  const cv::Mat wander = mottle(width, height, 18 * unit, random);
  cv::Mat reach(height, width, CV_32FC1);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const double left = x / unit;
      const double top = y / unit;
      const double right = (width - 1 - x) / unit;
      const double bottom = (height - 1 - y) / unit;
      double value = 1e3;
      if (options.film_inset > 0) {
        const double edge = std::min(std::min(left, right), std::min(top, bottom));
        value = edge - options.film_inset *
                           (1.0 + options.film_wander * static_cast<double>(wander.at<float>(y, x)));
      }
      const std::array<std::array<double, 2>, 4> from = {
          {{left, top}, {right, top}, {right, bottom}, {left, bottom}}};
      for (std::size_t corner = 0; corner < 4; ++corner) {
        const double size = options.bare_corner[corner];
        if (size <= 0) continue;
        // A flow edge: bulging towards the corner, a little uneven.
        const double across = from[corner][0] + from[corner][1] + 0.02 * from[corner][0] * from[corner][1];
        value = std::min(value,
                         (across - size * (1.0 + 0.08 * static_cast<double>(wander.at<float>(y, x)))) * 0.7);
      }
      reach.at<float>(y, x) = static_cast<float>(value);
    }
  }
  return reach;
}

// Signed distance into the rounded opening, in hundredths.
cv::Mat opening_depth(const DrawnPlate& options, int width, int height, double unit) {
  cv::Mat depth(height, width, CV_32FC1);
  constexpr double kFar = 40.0;
  const double slope = std::tan(options.tilt_deg * CV_PI / 180.0);
  const auto inset = [](double rim) { return rim > 0 ? rim : -kFar; };
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const double across = (x - width / 2.0) / unit;
      const double down = (y - height / 2.0) / unit;
      const double u = x / unit + slope * down;
      const double v = y / unit - slope * across;
      const double left = u - inset(options.rim[3]);
      const double right = width / unit - inset(options.rim[1]) - u;
      const double top = v - inset(options.rim[0]);
      const double bottom = height / unit - inset(options.rim[2]) - v;
      const double horizontal = std::min(left, right);
      const double vertical = std::min(top, bottom);
      const double r = options.corner_radius;
      double value = std::min(horizontal, vertical);
      if (horizontal < r && vertical < r) value = r - std::hypot(r - horizontal, r - vertical);
      depth.at<float>(y, x) = static_cast<float>(value);
    }
  }
  return depth;
}

}  // namespace

cv::Mat drawn_scene(int width, int height, std::uint64_t seed) {
  cv::RNG random(seed * 7919 + 17);
  cv::Mat scene = 0.45 + 0.16 * mottle(width, height, width / 2.5, random) +
                  0.08 * mottle(width, height, width / 12.0, random) +
                  0.03 * mottle(width, height, width / 90.0, random);
  const int shapes = 14;
  for (int shape = 0; shape < shapes; ++shape) {
    const cv::Point centre(random.uniform(0, width), random.uniform(0, height));
    const cv::Size size(random.uniform(width / 40, width / 6), random.uniform(height / 40, height / 5));
    const double tone = random.uniform(0.0, 1.0);
    if (shape % 3 == 0) {
      cv::rectangle(scene, cv::Rect(centre, size), tone, cv::FILLED);
    } else {
      cv::ellipse(scene, centre, size, random.uniform(0, 180), 0, 360, tone, cv::FILLED);
    }
  }
  cv::GaussianBlur(scene, scene, {}, width / 500.0);
  return cv::max(cv::min(scene, 1.0), 0.0);
}

DrawnTruth draw(const DrawnPlate& options) {
  cv::RNG random(options.seed);
  const int height = options.long_side_px;
  const int width = static_cast<int>(std::lround(options.aspect * height));
  const double unit = height / 100.0;
  const cv::Mat reach = film_reach(options, width, height, unit, random);
  const cv::Mat depth = opening_depth(options, width, height, unit);
  const cv::Mat scene = drawn_scene(width, height, options.seed);
  const cv::Mat grain = mottle(width, height, 1.6, random);
  DrawnTruth truth;
  truth.plate.px_per_unit = unit;
  truth.plate.density.create(height, width, CV_32FC1);
  truth.bare = reach < 0.0F;
  truth.picture = (reach >= 0.0F) & (depth >= 0.0F);
  truth.rim = (reach >= 0.0F) & (depth < 0.0F);
  cv::Mat silver(height, width, CV_32FC1);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const double film = std::clamp(static_cast<double>(reach.at<float>(y, x)) / 0.3, 0.0, 1.0);
      const double open = std::clamp(0.5 + static_cast<double>(depth.at<float>(y, x)) / 0.4, 0.0, 1.0);
      double light = static_cast<double>(scene.at<float>(y, x));
      if (options.dark_left && x < width / 3) light = 0.0;
      const double picture = 0.03 + 0.85 * light * light * (3.0 - 2.0 * light);
      const double coated = options.margin_fog + open * picture;
      const double clumps = 1.0 + 0.5 * coated;
      silver.at<float>(y, x) = static_cast<float>(
          film * (coated + options.grain * clumps * static_cast<double>(grain.at<float>(y, x))));
    }
  }
  cv::GaussianBlur(silver, silver, {}, 0.8);
  cv::Mat noise(height, width, CV_32FC1);
  random.fill(noise, cv::RNG::NORMAL, 0.0, options.scanner_noise);
  const bool positive = is_positive(options.kind);
  constexpr double kSupportPositive = 1.35;
  constexpr double kSupportNegative = 0.04;
  truth.plate.density = positive ? cv::Mat(kSupportPositive - silver + noise)
                                 : cv::Mat(kSupportNegative + 1.6 * silver + noise);
  return truth;
}

double overlap(const cv::Mat& a, const cv::Mat& b) {
  const int either = cv::countNonZero(a | b);
  return either == 0 ? 1.0 : static_cast<double>(cv::countNonZero(a & b)) / either;
}

double share_inside(const cv::Mat& part, const cv::Mat& whole) {
  const int all = cv::countNonZero(part);
  return all == 0 ? 1.0 : static_cast<double>(cv::countNonZero(part & whole)) / all;
}

}  // namespace platewise::test
