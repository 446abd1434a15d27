#include "platewise/demo/render_wedge.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>

#include "noise.h"
#include "scanner.h"

namespace platewise {
namespace {

constexpr double kMmPerInch = 25.4;
constexpr double kBlueMore = 1.03;  // silver scatters blue a little more; PRACTICE

struct Sheet {
  double width_mm = 0.0;
  double height_mm = 0.0;
  cv::Mat density;
};

double sheet_width(const WedgeOptions& options) {
  return options.steps * options.step_width_mm + 2.0 * options.border_mm;
}
double sheet_height(const WedgeOptions& options) {
  return options.step_height_mm + 2.0 * options.border_mm;
}

// What the bed and the scanner need to know, in their own words.
PlateOptions as_plate(const WedgeOptions& options) {
  PlateOptions plate;
  plate.process =
      ordinary_process(options.light == Light::transmitted ? PlateKind::negative : PlateKind::tintype);
  plate.width_mm = sheet_width(options);
  plate.height_mm = sheet_height(options);
  plate.px_per_mm = options.px_per_mm;
  plate.medium = options.medium;
  plate.angle_deg = options.angle_deg;
  plate.surround_mm = options.surround_mm;
  plate.photo = options.photo;
  plate.device = options.device;
  return plate;
}

std::vector<double> step_densities(const WedgeOptions& options, Dice dice) {
  std::vector<double> densities;
  densities.reserve(static_cast<std::size_t>(std::max(0, options.steps)));
  for (int i = 0; i < options.steps; ++i)
    densities.push_back(options.first_density + options.step_density * i +
                        (i == 0 ? 0.0 : options.tolerance * std::clamp(dice.normal(), -2.0, 2.0)));
  std::sort(densities.begin(), densities.end());
  return densities;
}

Quad step_mm(const WedgeOptions& options, int index) {
  const double x = options.border_mm + index * options.step_width_mm;
  const double y = options.border_mm;
  return {Point{x, y}, Point{x + options.step_width_mm, y},
          Point{x + options.step_width_mm, y + options.step_height_mm}, Point{x, y + options.step_height_mm}};
}

cv::Point pixel(const WedgeOptions& options, Point mm) {
  return {static_cast<int>(std::lround(mm.x * options.px_per_mm)),
          static_cast<int>(std::lround(mm.y * options.px_per_mm))};
}

void draw_marks(cv::Mat& density, const WedgeOptions& options) {
  const double base = options.first_density;
  const double ink = options.dark_border ? base : 1.6;
  for (int i = 0; i < options.steps; ++i) {
    const Quad quad = step_mm(options, i);
    if (options.dividing_lines && i > 0)
      cv::line(density, pixel(options, quad[0]), pixel(options, quad[3]), cv::Scalar(ink),
               std::max(1, static_cast<int>(std::lround(0.15 * options.px_per_mm))));
    if (options.numbers && options.border_mm > 2.5) {
      const double height = 0.07 * options.px_per_mm;
      cv::putText(density, fmt::format("{}", i + 1), pixel(options, {quad[3].x + 1.0, quad[3].y + 2.6}),
                  cv::FONT_HERSHEY_SIMPLEX, height, cv::Scalar(ink), 1);
    }
  }
}

cv::Mat wedge_sheet(const WedgeOptions& options, const std::vector<double>& densities, Dice dice) {
  const cv::Size size(static_cast<int>(std::lround(sheet_width(options) * options.px_per_mm)),
                      static_cast<int>(std::lround(sheet_height(options) * options.px_per_mm)));
  constexpr double kDarkBorder = 2.8;
  cv::Mat density(size, CV_32FC1,
                  cv::Scalar(options.dark_border ? kDarkBorder : options.first_density * 0.9));
  for (int i = 0; i < options.steps; ++i) {
    const Quad quad = step_mm(options, i);
    density(cv::Rect(pixel(options, quad[0]), pixel(options, quad[2])) & cv::Rect({}, size))
        .setTo(cv::Scalar(densities[static_cast<std::size_t>(i)]));
  }
  draw_marks(density, options);
  density = blurred(density, 0.03 * options.px_per_mm);
  const cv::Mat grain = white_noise(size, dice);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      auto& d = density.at<float>(y, x);
      d += static_cast<float>(options.grain * std::sqrt(std::max(0.0F, d)) * options.px_per_mm / 12.0) *
           grain.at<float>(y, x);
    }
  for (int i = 0; i < options.dust; ++i) {
    const cv::Point at(dice.whole(0, size.width - 1), dice.whole(0, size.height - 1));
    const int radius = static_cast<int>(dice.uniform(0.03, 0.25) * options.px_per_mm);
    cv::circle(density, at, radius,
               cv::Scalar(options.light == Light::transmitted ? 1.5 : dice.uniform(0.2, 1.2)), cv::FILLED);
  }
  return density;
}

std::string steps_json(const WedgeOptions& options, const std::vector<DrawnStep>& steps) {
  nlohmann::json list = nlohmann::json::array();
  for (const DrawnStep& step : steps) {
    nlohmann::json corners = nlohmann::json::array();
    for (Point p : step.corners_px) corners.push_back({p.x, p.y});
    list.push_back({{"step", step.number},
                    {"density", step.density},
                    {"blue_density", step.blue_density},
                    {"signal", step.signal},
                    {"corners_px", corners}});
  }
  const DeviceModel& device = options.device;
  const nlohmann::json all = {{"schema", "platewise.wedge_truth/1"},
                              {"light", name_of(options.light)},
                              {"steps", list},
                              {"device",
                               {{"formula", "light = flare + gain * 10^(-contrast * density)"},
                                {"gain", device.gain},
                                {"contrast", device.contrast},
                                {"flare", device.flare},
                                {"local_flare", device.local_flare},
                                {"curve", name_of(device.curve)},
                                {"curve_error", device.curve_error},
                                {"bits", device.bits}}}};
  return all.dump(2) + "\n";
}

PictureFormat wedge_format(const WedgeOptions& options) {
  PictureFormat format;
  const bool photo = options.medium == Medium::phone_photo;
  format.container = options.jpeg || photo ? PictureContainer::jpeg : PictureContainer::tiff;
  format.compression = TiffCompression::deflate;
  format.from_camera = photo;
  format.dpi = photo ? 72.0 : options.px_per_mm * kMmPerInch;
  if (options.device.curve == ToneCurve::srgb) format.profile = EmbeddedProfile::srgb;
  if (options.device.curve == ToneCurve::gamma_22) format.profile = EmbeddedProfile::grey_gamma_22;
  return format;
}

}  // namespace

std::string wedge_csv(const std::vector<double>& densities, const std::vector<double>& blue_densities) {
  std::string csv = "step,density,blue_density\n";
  for (std::size_t i = 0; i < densities.size(); ++i)
    csv += fmt::format("{},{:.3f},{:.3f}\n", i + 1, densities[i], blue_densities[i]);
  return csv;
}

WedgeRendering render_wedge(const WedgeOptions& options) {
  const Dice dice(options.seed, 7);
  const PlateOptions bed = as_plate(options);
  const std::vector<double> densities = step_densities(options, dice.part(1));
  const cv::Mat density = wedge_sheet(options, densities, dice.part(2));
  const Bedding bedding = lay_down(bed, dice.part(6));

  // A rim of nothing round the sheet, so that its edge is smooth in the scan.
  constexpr int kRim_px = 2;
  cv::Mat light, cover;
  cv::exp(density * (-options.device.contrast * std::log(10.0)), light);
  cv::copyMakeBorder(light, light, kRim_px, kRim_px, kRim_px, kRim_px, cv::BORDER_REPLICATE);
  cover = cv::Mat::zeros(light.size(), CV_32FC1);
  cover(cv::Rect(kRim_px, kRim_px, density.cols, density.rows)).setTo(cv::Scalar(1.0));
  Homography mm_from_sheet_px;
  mm_from_sheet_px.matrix << 1.0 / options.px_per_mm, 0, -kRim_px / options.px_per_mm,  //
      0, 1.0 / options.px_per_mm, -kRim_px / options.px_per_mm, 0, 0, 1;
  const Sight sight = laid_on_bed(light, cover, {bedding.px_from_mm.matrix * mm_from_sheet_px.matrix},
                                  bedding, bed, dice.part(7));
  WedgeRendering rendering;
  rendering.pixels = scanned(sight, options.device, dice.part(8));
  rendering.format = wedge_format(options);
  std::vector<double> blue;
  for (int i = 0; i < options.steps; ++i) {
    DrawnStep step;
    step.number = i + 1;
    step.density = densities[static_cast<std::size_t>(i)];
    step.blue_density = kBlueMore * step.density;
    step.signal = device_signal(options.device, step.density);
    const Quad mm = step_mm(options, i);
    for (std::size_t c = 0; c < 4; ++c) step.corners_px[c] = bedding.px_from_mm(mm[c]);
    blue.push_back(step.blue_density);
    rendering.steps.push_back(step);
  }
  rendering.wedge_csv = wedge_csv(densities, blue);
  rendering.truth_json = steps_json(options, rendering.steps);
  return rendering;
}

cv::Mat render_wedge_blank_sheet(const WedgeOptions& options) {
  const Dice dice(options.seed, 7);
  const PlateOptions bed = as_plate(options);
  return scanned(blank_sheet(lay_down(bed, dice.part(6)), bed, dice.part(7)), options.device, dice.part(9));
}

WedgeOptions varied_wedge(std::uint64_t seed) {
  Dice dice(seed, 55);
  WedgeOptions options;
  options.seed = seed;
  options.light = dice.chance(0.5) ? Light::transmitted : Light::reflected;
  const bool transmitted = options.light == Light::transmitted;
  const int which = dice.whole(0, 3);
  options.steps = which == 0 ? 21 : which == 1 ? 31 : which == 2 ? 41 : dice.whole(10, 20);
  const double reach = transmitted ? dice.uniform(2.0, 3.1) : dice.uniform(1.5, 2.0);
  options.step_density = reach / (options.steps - 1);
  options.tolerance = std::min(0.02, 0.15 * options.step_density);
  options.first_density = dice.uniform(0.04, 0.10);
  options.step_width_mm = dice.uniform(3.0, 8.0) * 21.0 / std::max(21, options.steps);
  options.step_height_mm = dice.uniform(8.0, 20.0);
  options.border_mm = dice.chance(0.7) ? dice.uniform(2.0, 6.0) : 0.0;
  options.dark_border = transmitted && dice.chance(0.4);
  options.numbers = dice.chance(0.6);
  options.dividing_lines = dice.chance(0.4);
  options.dust = dice.whole(0, 80);
  options.px_per_mm = dice.chance(0.5) ? 300.0 / kMmPerInch : 200.0 / kMmPerInch;
  options.medium = dice.chance(0.5) ? Medium::black_bed : Medium::white_lid;
  options.angle_deg = 90.0 * dice.whole(0, 3) + dice.uniform(-2.5, 2.5);
  DeviceModel& device = options.device;
  device.bits = dice.chance(0.5) ? 16 : 8;
  device.colour = dice.chance(0.5);
  device.curve = !device.colour && device.bits == 16 && dice.chance(0.4) ? ToneCurve::linear
                 : device.colour                                         ? ToneCurve::srgb
                                                                         : ToneCurve::gamma_22;
  device.warmth = 0.1;
  device.gain = dice.chance(0.2) ? dice.uniform(1.1, 1.5) : dice.uniform(0.7, 1.0);
  device.contrast = dice.uniform(0.97, 1.08);
  device.curve_error = device.curve == ToneCurve::linear ? 0.0 : dice.uniform(-0.04, 0.04);
  device.flare = dice.log_uniform(0.0003, 0.003);
  device.local_flare = dice.log_uniform(0.0003, 0.003);
  device.noise = dice.log_uniform(0.0005, 0.003);
  device.dark_noise = 0.15 * device.noise;
  return options;
}

}  // namespace platewise
