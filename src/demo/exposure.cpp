#include "exposure.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "noise.h"

namespace platewise {
namespace {

constexpr float kNoLight = -6.0F;
constexpr int kSceneLongSide_px = 1200;  // scenes are always drawn at this size, so that dpi changes nothing
constexpr double kApertureMm = 5.0 / 12.0;
constexpr double kLog10Stop = 0.30103;

// A table over the whole range: exact to 1e-5, and many times faster than the formula for each pixel.
struct Lookup {
  double low = 0.0;
  double step = 0.0;
  std::vector<float> values;

  template <class Function>
  Lookup(double from, double to, int count, Function function)
      : low(from), step((to - from) / (count - 1)), values(static_cast<std::size_t>(count)) {
    for (int i = 0; i < count; ++i)
      values[static_cast<std::size_t>(i)] = static_cast<float>(function(from + i * step));
  }
  [[nodiscard]] float operator()(float x) const {
    const double at = std::clamp((x - low) / step, 0.0, static_cast<double>(values.size() - 1) - 1e-9);
    const auto i = static_cast<std::size_t>(at);
    const auto rest = static_cast<float>(at - static_cast<double>(i));
    return values[i] + rest * (values[i + 1] - values[i]);
  }
};

cv::Mat through(const cv::Mat& picture, const Lookup& table) {
  cv::Mat result(picture.size(), CV_32FC1);
  for (int y = 0; y < picture.rows; ++y) {
    const auto* from = picture.ptr<float>(y);
    auto* to = result.ptr<float>(y);
    for (int x = 0; x < picture.cols; ++x) to[x] = table(from[x]);
  }
  return result;
}

cv::Mat scene_on_plate(const PlateLayers& layers, const PlateOptions& options, const Dice& dice) {
  const cv::Size size = layers.frame.size();
  const double shrink = kSceneLongSide_px / static_cast<double>(std::max(size.width, size.height));
  const int width = static_cast<int>(std::lround(size.width * shrink));
  const int height = static_cast<int>(std::lround(size.height * shrink));
  const std::uint64_t seed = options.scene_seed ? *options.scene_seed : Dice(dice).part(1).bits();
  const cv::Mat drawn = options.photograph ? scene_from_photograph(*options.photograph, seed, width, height)
                                           : draw_scene(options.scene, seed, width, height);
  cv::Mat light;
  cv::exp(drawn * (options.light_contrast * std::log(10.0)), light);
  cv::Mat on_plate;
  cv::resize(light, on_plate, size, 0.0, 0.0, shrink > 1.0 ? cv::INTER_AREA : cv::INTER_LINEAR);
  return on_plate;
}

// A Petzval lens: bright and sharp in the middle, soft and darker toward the corners.
void draw_through_lens(cv::Mat& light, double falloff, double px_per_mm) {
  const cv::Mat soft = blurred(light, 0.35 * px_per_mm);
  const double half_x = light.cols / 2.0;
  const double half_y = light.rows / 2.0;
  const double corner = half_x * half_x + half_y * half_y;
  for (int y = 0; y < light.rows; ++y) {
    auto* row = light.ptr<float>(y);
    const auto* out_of_focus = soft.ptr<float>(y);
    for (int x = 0; x < light.cols; ++x) {
      const double out = ((x - half_x) * (x - half_x) + (y - half_y) * (y - half_y)) / corner;
      const auto share = static_cast<float>(std::clamp(1.3 * out - 0.15, 0.0, 1.0));
      row[x] = (row[x] + share * (out_of_focus[x] - row[x])) * static_cast<float>(1.0 - falloff * out);
    }
  }
}

// The opening's box (mm on the sheet): what bands and strips divide.
cv::Rect2d opening_box(const PlateLayers& layers) {
  const PlateFrame& frame = layers.frame;
  double left = 0.0, top = 0.0, right = frame.width_mm, bottom = frame.height_mm;
  if (!layers.opening_outline_mm.empty()) {
    left = top = 1e9;
    right = bottom = -1e9;
    for (Point p : layers.opening_outline_mm) {
      left = std::min(left, p.x), right = std::max(right, p.x);
      top = std::min(top, p.y), bottom = std::max(bottom, p.y);
    }
  }
  left = std::max(left, 0.0), top = std::max(top, 0.0);
  right = std::min(right, frame.width_mm), bottom = std::min(bottom, frame.height_mm);
  return {left, top, right - left, bottom - top};
}

// Piece `index` of `count` along a box, from its top or left.
Quad piece(const cv::Rect2d& box, bool along_height, double index, double count) {
  const double from = index / count;
  const double to = (index + 1.0) / count;
  const double x0 = along_height ? box.x : box.x + from * box.width;
  const double x1 = along_height ? box.x + box.width : box.x + to * box.width;
  const double y0 = along_height ? box.y + from * box.height : box.y;
  const double y1 = along_height ? box.y + to * box.height : box.y + box.height;
  return {Point{x0, y0}, Point{x1, y0}, Point{x1, y1}, Point{x0, y1}};
}

cv::Rect pixels_of(const PlateFrame& frame, const Quad& quad) {
  const Point low = frame.px(quad[0]);
  const Point high = frame.px(quad[2]);
  const cv::Rect box(static_cast<int>(std::lround(low.x)), static_cast<int>(std::lround(low.y)),
                     static_cast<int>(std::lround(high.x)) - static_cast<int>(std::lround(low.x)),
                     static_cast<int>(std::lround(high.y)) - static_cast<int>(std::lround(low.y)));
  return box & cv::Rect({}, frame.size());
}

void expose_steps(cv::Mat& light, const PlateLayers& layers, const PlateOptions& options) {
  for (const TrueStep& step : exposed_steps(layers, options)) {
    cv::Mat part = light(pixels_of(layers.frame, step.corners_mm));
    if (options.wedge)
      part.setTo(cv::Scalar(std::pow(10.0, step.process_log_exposure)));
    else
      part *= std::pow(10.0, step.log_exposure) / options.strips->right_time_s;
  }
  if (options.wedge || options.strips)  // a slide or wedge is never in perfect contact
    light = blurred(light, 0.08 * layers.frame.px_per_mm);
}

}  // namespace

std::vector<TrueStep> exposed_steps(const PlateLayers& layers, const PlateOptions& options) {
  std::vector<TrueStep> steps;
  cv::Rect2d box = opening_box(layers);
  const auto finished = [&](TrueStep step) {
    step.density = plate_density(options.process, step.process_log_exposure, options.development_factor);
    steps.push_back(step);
  };
  if (options.wedge) {
    const WedgeExposure& wedge = *options.wedge;
    const auto count = static_cast<double>(wedge.densities.size());
    constexpr double kStripShare = 0.2;  // width of the strip, share of the picture
    if (wedge.strip && wedge.along_height)
      box = {box.x + 0.7 * box.width, box.y + 0.04 * box.height, kStripShare * box.width, 0.92 * box.height};
    if (wedge.strip && !wedge.along_height)
      box = {box.x + 0.04 * box.width, box.y + 0.75 * box.height, 0.92 * box.width, kStripShare * box.height};
    for (std::size_t i = 0; i < wedge.densities.size(); ++i) {
      const auto at = static_cast<double>(i);
      TrueStep step;
      step.log_exposure = -wedge.densities[i];
      step.process_log_exposure = wedge.clear_log_exposure - wedge.densities[i];
      step.corners_mm = piece(box, wedge.along_height, wedge.clear_first ? at : count - 1.0 - at, count);
      finished(step);
    }
  } else if (options.strips) {
    const StripExposure& strips = *options.strips;
    const auto count = static_cast<double>(strips.times_s.size());
    const bool down = strips.from == Edge::top || strips.from == Edge::bottom;
    const bool forward = strips.from == Edge::top || strips.from == Edge::left;
    for (std::size_t i = 0; i < strips.times_s.size(); ++i) {
      const auto at = static_cast<double>(i);
      TrueStep step;
      step.log_exposure = std::log10(strips.times_s[i]);
      step.process_log_exposure =
          right_highlight_log_exposure(options.process) + step.log_exposure - std::log10(strips.right_time_s);
      step.corners_mm = piece(box, down, forward ? at : count - 1.0 - at, count);
      finished(step);
    }
  }
  return steps;
}

cv::Mat contract_aperture(const cv::Mat& picture, double px_per_mm) {
  const int width = std::max(1, static_cast<int>(std::lround(kApertureMm * px_per_mm)));
  cv::Mat mean;
  cv::blur(picture, mean, {width, width});
  return mean;
}

double percentile(const cv::Mat& picture, const cv::Mat& mask, double share) {
  std::vector<float> values;
  values.reserve(static_cast<std::size_t>(cv::countNonZero(mask)));
  for (int y = 0; y < picture.rows; ++y)
    for (int x = 0; x < picture.cols; ++x)
      if (mask.at<std::uint8_t>(y, x) != 0) values.push_back(picture.at<float>(y, x));
  if (values.empty()) return std::nan("");
  const double at = share * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::ptrdiff_t>(at);
  std::nth_element(values.begin(), values.begin() + below, values.end());
  const double low = values[static_cast<std::size_t>(below)];
  if (static_cast<std::size_t>(below) + 1 >= values.size()) return low;
  const double high = *std::min_element(values.begin() + below + 1, values.end());
  return low + (at - static_cast<double>(below)) * (high - low);
}

cv::Mat tone_area(const PlateLayers& layers, bool without_faults) {
  constexpr double kAwayMm = 0.4;  // half an aperture and the penumbra
  cv::Mat area = (layers.plate > 0.99F) & (layers.opening > 0.98F);
  if (without_faults) area &= layers.film > 0.99F;
  if (without_faults) area &= (layers.faulty == 0) & layers.seen;
  const int reach = 2 * static_cast<int>(std::lround(kAwayMm * layers.frame.px_per_mm)) + 1;
  cv::erode(area, area, cv::getStructuringElement(cv::MORPH_RECT, {reach, reach}), {-1, -1}, 1,
            cv::BORDER_CONSTANT, cv::Scalar(0));
  return area;
}

cv::Mat exposed(const PlateLayers& layers, const PlateOptions& options, Dice dice) {
  cv::Mat light = scene_on_plate(layers, options, dice);
  draw_through_lens(light, options.lens_falloff, layers.frame.px_per_mm);
  const cv::Mat area = tone_area(layers, false);
  light += options.process.camera_flare * cv::mean(light, area)[0];
  const double highlight =
      std::log10(percentile(contract_aperture(light, layers.frame.px_per_mm), area, 0.98));
  const double shift =
      right_highlight_log_exposure(options.process) - highlight + options.exposure_error_stops * kLog10Stop;
  light *= std::pow(10.0, shift);
  expose_steps(light, layers, options);
  cv::Mat log_exposure(light.size(), CV_32FC1);
  for (int y = 0; y < light.rows; ++y) {
    const auto* from = light.ptr<float>(y);
    const auto* open = layers.opening.ptr<float>(y);
    auto* to = log_exposure.ptr<float>(y);
    for (int x = 0; x < light.cols; ++x)
      to[x] = std::max(kNoLight, std::log10(std::max(1e-8F, from[x] * open[x])));
  }
  return log_exposure;
}

cv::Mat developed(const cv::Mat& log_exposure, const ProcessParameters& process, double factor) {
  return through(log_exposure,
                 Lookup(kNoLight, 6.0, 6001, [&](double x) { return image_silver_tau(process, x, factor); }));
}

cv::Mat density_of(const cv::Mat& tau, const ProcessParameters& process) {
  constexpr double kLeastTau = -0.02;  // grain swings a little below nothing
  return through(tau, Lookup(kLeastTau, 8.0, 40001, [&](double t) { return density_of_tau(process, t); }));
}

}  // namespace platewise
