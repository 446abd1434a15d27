#include "large_scans.h"

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "platewise/demo/render_plate.h"
#include "platewise/write/write_picture.h"

namespace platewise::bench {
namespace {

constexpr double kWidthMm = 100.0;
constexpr double kHeightMm = 125.0;
constexpr double kMarginMm = 6.0;

cv::Mat enlarged(const cv::Mat& pixels, double megapixels) {
  const double scale = std::sqrt(megapixels * 1e6 / static_cast<double>(pixels.total()));
  cv::Mat large;
  cv::resize(pixels, large, {}, scale, scale, cv::INTER_LINEAR);
  return large;
}

// Noise of about one in 500 of full scale, a strip at a time so that no second copy is held.
void add_noise(cv::Mat& pixels) {
  cv::RNG dice(20261125);
  const double sigma = pixels.depth() == CV_16U ? 130.0 : 1.0;
  for (int y = 0; y < pixels.rows; y += 256) {
    cv::Mat strip = pixels.rowRange(y, std::min(y + 256, pixels.rows));
    cv::Mat noise(strip.size(), CV_16SC(strip.channels()));
    dice.fill(noise, cv::RNG::NORMAL, 0.0, sigma);
    cv::add(strip, noise, strip, cv::noArray(), strip.type());
  }
}

cv::Mat converted(cv::Mat pixels, int depth, int channels) {
  if (pixels.channels() != channels) {
    cv::cvtColor(pixels, pixels, channels == 1 ? cv::COLOR_RGB2GRAY : cv::COLOR_GRAY2RGB);
  }
  const double factor = depth == pixels.depth() ? 1.0 : depth == CV_16U ? 257.0 : 1.0 / 257.0;
  pixels.convertTo(pixels, CV_MAKETYPE(depth, channels), factor);
  return pixels;
}

}  // namespace

Result<void> make_scan(const std::filesystem::path& file, ScanKind kind, double megapixels) {
  if (std::filesystem::exists(file)) return {};
  PlateOptions plate;
  plate.width_mm = kWidthMm;
  plate.height_mm = kHeightMm;
  const cv::Mat small = render_plate(plate).pixels;
  const bool deep = kind == ScanKind::grey_16 || kind == ScanKind::rgb_16;
  const bool colour = kind == ScanKind::rgb_16 || kind == ScanKind::jpeg_rgb_8;
  cv::Mat pixels = enlarged(converted(small, deep ? CV_16U : CV_8U, colour ? 3 : 1), megapixels);
  add_noise(pixels);
  PictureFormat format;
  format.dpi = std::round(pixels.cols / (kWidthMm + 2.0 * kMarginMm) * 25.4);
  format.profile = colour ? EmbeddedProfile::srgb : EmbeddedProfile::grey_gamma_22;
  if (kind == ScanKind::jpeg_rgb_8) format.container = PictureContainer::jpeg;
  if (kind == ScanKind::tiled_grey_8) {
    format.tiled = true;
    format.compression = TiffCompression::deflate;
  }
  return write_picture(file, pixels, format);
}

}  // namespace platewise::bench
