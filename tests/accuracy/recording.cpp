#include "accuracy/recording.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace platewise::heldout {
namespace {

cv::Mat power(const cv::Mat& image, double exponent) {
  cv::Mat out;
  cv::pow(cv::max(image, 0.0), exponent, out);
  return out;
}

// sRGB encoding, IEC 61966-2-1, of linear light in [0, 1].
cv::Mat srgb_encoded(const cv::Mat& light) {
  const cv::Mat clipped = cv::min(cv::max(light, 0.0), 1.0);
  const cv::Mat high = 1.055 * power(clipped, 1.0 / 2.4) - cv::Scalar::all(0.055);
  cv::Mat out = 12.92 * clipped;
  high.copyTo(out, clipped > 0.0031308);
  return out;
}

cv::Mat blurred(const cv::Mat& image, double sigma_px) {
  cv::Mat out;
  cv::GaussianBlur(image, out, {}, std::max(0.05, sigma_px), 0, cv::BORDER_REPLICATE);
  return out;
}

// The light of everything around, spread over two wide widths.
cv::Mat veil(const Scanner& scanner, const cv::Mat& light, double px_per_mm) {
  constexpr int kShrink = 8;
  cv::Mat small;
  cv::resize(light, small, {}, 1.0 / kShrink, 1.0 / kShrink, cv::INTER_AREA);
  small = 0.5 * blurred(small, scanner.veil_near_mm * px_per_mm / kShrink) +
          0.5 * blurred(small, scanner.veil_far_mm * px_per_mm / kShrink);
  cv::Mat wide;
  cv::resize(small, wide, light.size(), 0, 0, cv::INTER_LINEAR);
  return wide;
}

cv::Mat noisy(Random& random, const cv::Mat& signal, double read, double shot) {
  std::vector<cv::Mat> channels;
  cv::split(signal, channels);
  for (cv::Mat& channel : channels) {
    cv::Mat sigma;
    cv::sqrt(read * read + shot * cv::max(channel, 0.0), sigma);
    channel += sigma.mul(white_noise(random, channel.size()));
  }
  cv::Mat out;
  cv::merge(channels, out);
  return out;
}

cv::Mat luminance(const cv::Mat& rgb) {
  cv::Mat y;
  cv::transform(rgb, y, cv::Matx13f(0.2126F, 0.7152F, 0.0722F));
  return y;
}

double recorded(const Scanner& scanner, double light) {
  return scanner.gain * std::pow(light, scanner.gamma) + scanner.black;
}

}  // namespace

Scanner drawn_scanner(Random& random, bool deep) {
  Scanner scanner;
  scanner.blur_px = random.uniform(0.4, 1.0);
  scanner.veil = random.log_uniform(0.001, 0.008);
  scanner.veil_near_mm = random.uniform(1.5, 5.0);
  scanner.veil_far_mm = random.uniform(10.0, 35.0);
  scanner.gain = std::pow(10.0, std::clamp(random.normal(-0.08, 0.12), -0.4, 0.0));
  scanner.gamma = std::clamp(random.normal(1.0, 0.035), 0.92, 1.08);
  scanner.black = random.chance(0.5) ? random.log_uniform(0.00002, 0.001) : 0.0;
  scanner.read_noise = deep ? random.log_uniform(0.0001, 0.001) : random.log_uniform(0.0003, 0.002);
  scanner.shot_noise = random.log_uniform(1e-6, 2e-5);
  return scanner;
}

PictureFile scanned(Random& random, const Scanner& scanner, const Encoding& encoding, const cv::Mat& light,
                    double px_per_mm) {
  cv::Mat signal = encoding.grey ? luminance(light) : light;
  signal = (1.0 - scanner.veil) * blurred(signal, scanner.blur_px) +
           scanner.veil * veil(scanner, signal, px_per_mm);
  signal = scanner.gain * power(signal, scanner.gamma) + cv::Scalar::all(scanner.black);
  signal = noisy(random, signal, scanner.read_noise, scanner.shot_noise);
  signal = cv::min(cv::max(signal, 0.0), 1.0);
  PictureFile file;
  const bool linear = encoding.bits == 16 && !encoding.profile;
  const bool deep = encoding.bits == 16;
  if (!linear) signal = encoding.grey && encoding.profile ? power(signal, 1.0 / 2.2) : srgb_encoded(signal);
  signal.convertTo(file.pixels, deep ? CV_16U : CV_8U, deep ? 65535.0 : 255.0);
  file.jpeg = encoding.jpeg;
  file.jpeg_quality = random.integer(72, 96);
  file.profile = encoding.profile;
  return file;
}

DeviceCurve measured_device(Random& random, const Scanner& scanner, bool transmitted) {
  constexpr double kStepError = 0.005;
  DeviceCurve device;
  const double step = random.chance(0.5) ? 0.15 : 0.1;
  const double darkest = transmitted ? 3.0 : 2.0;
  const double around = random.uniform(0.1, 0.4);  // mean light of wedge and mount
  double previous = -1.0;
  for (double density = 0.05; density <= darkest; density += step) {
    const double light = (1.0 - scanner.veil) * std::pow(10.0, -density) + scanner.veil * around;
    const double signal = std::min(recorded(scanner, light), 1.0);
    const double known = std::max(density + random.normal(0.0, kStepError), previous + 0.01);
    previous = known;
    device.steps.push_back({known, signal, kStepError});
    device.knots.insert(device.knots.begin(), {std::log10(signal), known, kStepError});
  }
  device.range_min = device.steps.front().density;
  device.range_max = device.steps.back().density;
  device.max_residual_density = 2.0 * kStepError;
  device.flare = scanner.veil * around;
  device.material_u = 0.0;
  device.light = transmitted ? Light::transmitted : Light::reflected;
  device.bits = 16;
  return device;
}

PictureFile photographed_by_phone(Random& random, const cv::Mat& light) {
  cv::Mat lit = light.clone();
  const cv::Point2d toward(random.normal(0.0, 0.12), random.normal(0.0, 0.12));
  const double vignette = random.uniform(0.05, 0.35);
  for (int y = 0; y < lit.rows; ++y)
    for (int x = 0; x < lit.cols; ++x) {
      const double u = 2.0 * x / lit.cols - 1.0;
      const double v = 2.0 * y / lit.rows - 1.0;
      const double fall = 1.0 / std::pow(1.0 + vignette * (u * u + v * v) / 2.0, 2.0);
      lit.at<cv::Vec3f>(y, x) *= static_cast<float>(fall * std::exp(toward.x * u + toward.y * v));
    }
  const double warm = random.normal(0.0, 0.06);
  lit = lit.mul(cv::Scalar(1.0 + warm, 1.0, 1.0 - warm));
  lit = blurred(lit, random.uniform(0.6, 1.4));
  // The phone exposes for the picture's mean.
  lit *= random.uniform(0.12, 0.28) / std::max(cv::mean(luminance(lit))[0], 1e-3);
  lit = noisy(random, lit, random.log_uniform(0.0005, 0.004), random.log_uniform(1e-5, 2e-4));
  cv::Mat code = srgb_encoded(lit);
  const double contrast = random.uniform(0.0, 0.25);  // a gentle S about the middle
  code = (1.0 - contrast) * code + contrast * (3.0 * power(code, 2.0) - 2.0 * power(code, 3.0));
  PictureFile file;
  code.convertTo(file.pixels, CV_8U, 255.0);
  file.jpeg = true;
  file.jpeg_quality = random.integer(70, 94);
  return file;
}

}  // namespace platewise::heldout
