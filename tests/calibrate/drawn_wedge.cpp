#include "calibrate/drawn_wedge.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "platewise/stats/random.h"

namespace platewise::drawn {
namespace {

double srgb_encoded(double light) {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
}
double srgb_decoded(double code) {
  return code <= 0.04045 ? code / 12.92 : std::pow((code + 0.055) / 1.055, 2.4);
}

Homography scan_from_drawing(const WedgeDrawing& d) {
  const double w = d.width;
  const double h = d.height;
  const double angle = d.turn_deg * M_PI / 180.0;
  const double squeeze = d.perspective * h / 2;
  Quad corners{{{0, 0}, {w, squeeze}, {w, h - squeeze}, {0, h}}};
  for (Point& corner : corners) {
    const Point off = corner - Point{w / 2, h / 2};
    // -y: angles turn counter-clockwise on the screen
    corner = {w / 2 + std::cos(angle) * off.x + std::sin(angle) * off.y,
              h / 2 - std::sin(angle) * off.x + std::cos(angle) * off.y};
  }
  return target_from_source(rectangle(w, h), corners);
}

struct Layout {
  double left, top, pitch, tall;
};
Layout layout(const WedgeDrawing& d) {
  const double pitch = d.along_share * d.width / static_cast<double>(d.densities.size());
  const double tall = d.across_share * d.height;
  return {0.5 * (d.width - pitch * static_cast<double>(d.densities.size())), 0.5 * (d.height - tall), pitch,
          tall};
}

cv::Mat drawn_density(const WedgeDrawing& d) {
  constexpr int kFiner = 2;
  const Layout l = layout(d);
  cv::Mat density(d.height * kFiner, d.width * kFiner, CV_32FC1, cv::Scalar(d.surround_density));
  const auto fill = [&](double x0, double y0, double x1, double y1, double value) {
    const cv::Rect all(0, 0, density.cols, density.rows);
    const cv::Rect box(
        cv::Point(static_cast<int>(std::lround(x0 * kFiner)), static_cast<int>(std::lround(y0 * kFiner))),
        cv::Point(static_cast<int>(std::lround(x1 * kFiner)), static_cast<int>(std::lround(y1 * kFiner))));
    density(box & all).setTo(value);
  };
  const double count = static_cast<double>(d.densities.size());
  const double rim = d.rim_share * l.tall;
  if (rim > 0)
    fill(l.left - rim, l.top - rim, l.left + count * l.pitch + rim, l.top + l.tall + rim, d.rim_density);
  for (std::size_t k = 0; k < d.densities.size(); ++k) {
    const double x = l.left + static_cast<double>(k) * l.pitch;
    fill(x, l.top, x + l.pitch, l.top + l.tall, d.densities[k]);
  }
  for (std::size_t k = 0; d.lines && k <= d.densities.size(); ++k) {
    const double x = l.left + static_cast<double>(k) * l.pitch;
    fill(x - 0.03 * l.pitch, l.top, x + 0.03 * l.pitch, l.top + l.tall, 3.0);
  }
  for (std::size_t k = 0; d.numbers && k < d.densities.size(); ++k) {
    const double x = l.left + (static_cast<double>(k) + 0.25) * l.pitch;
    const double value = d.densities[k] > 1.2 ? 0.2 : 2.5;
    cv::putText(density, std::to_string(k + 1),
                cv::Point(static_cast<int>(x * kFiner), static_cast<int>((l.top + 0.35 * l.tall) * kFiner)),
                cv::FONT_HERSHEY_SIMPLEX, 0.02 * l.pitch * kFiner, cv::Scalar(value),
                std::max(1, static_cast<int>(l.pitch * kFiner / 20)));
  }
  return density;
}

Scan scan_of(const WedgeDrawing& d, const cv::Mat& light_in) {
  Random random(d.seed);
  cv::Mat light = light_in.clone();
  for (int i = 0; i < d.dust; ++i) {
    const cv::Point at(static_cast<int>(random.whole(0, light.cols - 1)),
                       static_cast<int>(random.whole(0, light.rows - 1)));
    cv::circle(light, at, static_cast<int>(random.whole(0, 3)), cv::Scalar(random.chance(0.5) ? 0.9 : 0.01),
               cv::FILLED);
  }
  cv::GaussianBlur(light, light, {}, 0.8);
  for (int y = 0; y < light.rows; ++y) {
    for (int x = 0; x < light.cols; ++x) {
      const double fall =
          1.0 - d.light_fall * (static_cast<double>(x) / light.cols + 0.4 * y / light.rows) / 1.4;
      double value = light.at<float>(y, x) * fall;
      value += random.normal() * std::hypot(d.noise * std::sqrt(std::max(0.0, value)), d.dark_noise);
      value = std::clamp(value, 0.0, 1.0);
      value = d.bits == 8 ? srgb_decoded(std::round(srgb_encoded(value) * 255.0) / 255.0)
                          : std::round(value * 65535.0) / 65535.0;
      light.at<float>(y, x) = static_cast<float>(value);
    }
  }
  Scan scan;
  scan.path = "wedge.tif";
  scan.width_px = light.cols;
  scan.height_px = light.rows;
  scan.bits = d.bits;
  scan.colour_profile = "drawn";
  scan.image.luminance = light;
  scan.image.darkest = light;
  scan.image.lightest = light;
  return scan;
}

}  // namespace

std::vector<double> even_densities(int count, double first, double step) {
  std::vector<double> densities;
  for (int i = 0; i < count; ++i) densities.push_back(first + step * i);
  return densities;
}

Wedge wedge_of(const std::vector<double>& densities) {
  Wedge wedge;
  for (const double density : densities) wedge.steps.push_back({density, std::nullopt});
  return wedge;
}

Scan draw(const WedgeDrawing& d) {
  const cv::Mat density = drawn_density(d);
  cv::Mat light(density.size(), CV_32FC1);
  for (int y = 0; y < density.rows; ++y) {
    for (int x = 0; x < density.cols; ++x) {
      light.at<float>(y, x) =
          static_cast<float>(d.flare + d.gain * std::pow(10.0, -d.contrast * density.at<float>(y, x)));
    }
  }
  const Homography map = scan_from_drawing(d);
  cv::Matx33d finer(0.5, 0, 0, 0, 0.5, 0, 0, 0, 1);
  cv::Matx33d matrix;
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) matrix(r, c) = map.matrix(r, c);
  }
  const double bed = d.flare + d.gain * std::pow(10.0, -d.contrast * d.surround_density);
  cv::Mat turned;
  cv::warpPerspective(light, turned, matrix * finer, {d.width, d.height}, cv::INTER_LINEAR,
                      cv::BORDER_CONSTANT, cv::Scalar(bed));
  return scan_of(d, turned);
}

Scan draw_blank(const WedgeDrawing& d) {
  return scan_of(d, cv::Mat(d.height, d.width, CV_32FC1, cv::Scalar(d.flare + d.gain * 0.85)));
}

Point centre_of(const WedgeDrawing& d, int k) {
  const Layout l = layout(d);
  return scan_from_drawing(d)({l.left + (k + 0.5) * l.pitch, l.top + 0.5 * l.tall});
}

}  // namespace platewise::drawn
