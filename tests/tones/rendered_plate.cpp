#include "tones/rendered_plate.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "platewise/write/write_picture.h"

namespace platewise {
namespace {

cv::Mat nearest(const cv::Mat& mask, cv::Size size) {
  cv::Mat resized;
  cv::resize(mask, resized, size, 0, 0, cv::INTER_NEAREST);
  return resized;
}

}  // namespace

RenderedPlate rendered(const PlateOptions& options, const std::string& name) {
  RenderedPlate plate;
  plate.rendering = render_plate(options);
  plate.truth = plate.rendering.truth;
  const std::filesystem::path path =
      std::filesystem::path(::testing::TempDir()) / (name + (options.jpeg ? ".jpg" : ".tif"));
  const auto written = write_picture(path, plate.rendering.pixels, plate.rendering.format);
  EXPECT_TRUE(written) << path;
  plate.scan = read_scan(path).value();
  std::filesystem::remove(path);
  plate.outline.found = true;
  plate.outline.corners_px = plate.truth.corners_px;
  plate.outline.scale.millimetres = true;
  plate.outline.scale.width_units = plate.truth.width_mm;
  plate.outline.scale.height_units = plate.truth.height_mm;
  plate.outline.photo = options.medium == Medium::phone_photo;
  return plate;
}

Regions true_regions(const PlateRendering& rendering, int width, int height, double px_per_mm) {
  const cv::Size size(width, height);
  const cv::Mat& clean = rendering.clean_density.density;
  Regions regions;
  regions.plate.inside = nearest(clean == clean, size);
  regions.film.inside = nearest(rendering.film.inside, size) & regions.plate.inside;
  cv::Mat opening(size, CV_8UC1, cv::Scalar(255));
  if (rendering.truth.image_area_mm) {
    opening.setTo(0);
    std::vector<cv::Point> outline;
    for (const Point corner : *rendering.truth.image_area_mm) {
      outline.emplace_back(static_cast<int>(std::lround(corner.x * px_per_mm)),
                           static_cast<int>(std::lround(corner.y * px_per_mm)));
    }
    cv::fillPoly(opening, std::vector<std::vector<cv::Point>>{outline}, cv::Scalar(255));
  }
  regions.picture.inside = regions.film.inside & opening;
  regions.rim.inside = regions.film.inside & ~opening;
  cv::Mat near_film;
  cv::dilate(regions.film.inside, near_film, cv::Mat::ones(7, 7, CV_8UC1));
  regions.bare.inside = regions.plate.inside & ~near_film;
  return regions;
}

DeviceCurve true_device(const DeviceModel& device, Light light) {
  constexpr double kWedgeU = 0.004;
  const double darkest = light == Light::transmitted ? 3.0 : 2.2;
  DeviceCurve curve;
  curve.light = light;
  curve.bits = device.bits;
  for (double density = 0.05; density < darkest; density += 0.15) {
    curve.knots.push_back({std::log10(device_signal(device, density)), density, kWedgeU});
  }
  std::reverse(curve.knots.begin(), curve.knots.end());
  curve.range_min = 0.05;
  curve.range_max = curve.knots.front().density;
  return curve;
}

Tones tones_of(const RenderedPlate& plate) {
  DensityOptions options;
  options.kind = plate.truth.kind;
  options.light = plate.truth.light;
  options.device = plate.device;
  auto density = to_density(plate.scan, plate.outline, options).value();
  const Regions regions =
      true_regions(plate.rendering, density.image.cols(), density.image.rows(), density.image.px_per_unit);
  density = anchored(std::move(density), plate.scan, plate.outline, regions, options);
  return measure_tones(
      density, regions,
      {.kind = options.kind,
       .default_support = default_support_density(options.kind, options.light, options.backing)});
}

}  // namespace platewise
