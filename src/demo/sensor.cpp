#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "scanner.h"

namespace platewise {
namespace {

// Shares of the channels in CIE Y (BT.709), so that a tint changes no luminance.
constexpr double kRedShare = 0.2126;
constexpr double kGreenShare = 0.7152;
constexpr double kBlueShare = 0.0722;

// Red, green, blue per luminance at warmth 1: b* of about 8 in the lights (numbers.csv, 2-15, PRACTICE).
struct Tint {
  double red, green, blue;
};
Tint tint(double warm) {
  const double red = 1.0 + 0.075 * warm;
  const double blue = std::max(0.2, 1.0 - 0.17 * warm);
  return {red, (1.0 - kRedShare * red - kBlueShare * blue) / kGreenShare, blue};
}

// Ruby ambrotypes: dark red glass (common practice, no source for its colour).
const Tint kRubyGlass{2.9, (1.0 - kRedShare * 2.9 - kBlueShare * 0.3) / kGreenShare, 0.3};

Tint mixed(const Tint& a, const Tint& b, double share_of_b) {
  const double rest = 1.0 - share_of_b;
  return {rest * a.red + share_of_b * b.red, rest * a.green + share_of_b * b.green,
          rest * a.blue + share_of_b * b.blue};
}

void add_flare(cv::Mat& light, const DeviceModel& device) {
  light = light * device.gain + device.flare;
  if (device.local_flare <= 0.0) return;
  // Light scattered over about a centimetre; a coarse picture of it is enough.
  cv::Mat coarse, around;
  const cv::Size small(std::max(1, light.cols / 16), std::max(1, light.rows / 16));
  cv::resize(light, coarse, small, 0, 0, cv::INTER_AREA);
  cv::GaussianBlur(coarse, coarse, {}, std::max(1.0, small.width / 12.0));
  cv::resize(coarse, around, light.size(), 0, 0, cv::INTER_LINEAR);
  light = light * (1.0 - device.local_flare) + around * device.local_flare;
}

// Tone curve as a table: code 0..1 over light 0..1, finer in the dark.
class CodeTable {
 public:
  CodeTable(const DeviceModel& device, double full) : full_(full) {
    for (std::size_t i = 0; i < kSize; ++i) {
      const double root = static_cast<double>(i) / (kSize - 1);
      codes_[i] = static_cast<float>(device_code(device, root * root));
    }
  }
  [[nodiscard]] double operator()(double light) const {
    const double at = std::sqrt(std::clamp(light, 0.0, 1.0)) * (kSize - 1);
    const auto i = std::min(static_cast<std::size_t>(at), kSize - 2);
    return full_ * (codes_[i] + (at - static_cast<double>(i)) * (codes_[i + 1] - codes_[i]));
  }

 private:
  static constexpr std::size_t kSize = 8192;
  double full_;
  std::vector<float> codes_ = std::vector<float>(kSize);
};

// What a plate's stains and milky remains make of the light in each channel.
std::array<double, 3> stained(const std::array<double, 3>& light, const Sight& sight, double gain, int y,
                              int x) {
  constexpr std::array<double, 3> kMilk{1.05, 1.0, 0.72};  // of its luminance: yellow-white
  std::array<double, 3> out = light;
  for (std::size_t c = 0; c < 3; ++c) {
    if (!sight.stain.empty()) out[c] *= std::pow(10.0, -sight.stain.at<cv::Vec3f>(y, x)[static_cast<int>(c)]);
    if (!sight.milk.empty()) out[c] += gain * kMilk[c] * sight.milk.at<float>(y, x);
  }
  return out;
}

double luminance_of(const std::array<double, 3>& light) {
  return kRedShare * light[0] + kGreenShare * light[1] + kBlueShare * light[2];
}

template <class Code>
void write_pixels(cv::Mat& pixels, const cv::Mat& light, const Sight& sight, const DeviceModel& device,
                  Dice& dice) {
  const bool has_colours = !sight.stain.empty() || !sight.milk.empty();
  const double full = sizeof(Code) == 1 ? 255.0 : 65535.0;
  const CodeTable code_of(device, full);
  const int channels = pixels.channels();
  for (int y = 0; y < pixels.rows; ++y) {
    const auto* from = light.ptr<float>(y);
    const auto* hue = sight.warm.ptr<float>(y);
    auto* to = pixels.ptr<Code>(y);
    for (int x = 0; x < pixels.cols; ++x) {
      Tint colour = tint(channels == 3 ? hue[x] * device.warmth : 0.0);
      if (!sight.ruby.empty() && channels == 3)
        colour = mixed(colour, kRubyGlass, static_cast<double>(sight.ruby.at<float>(y, x)));
      std::array<double, 3> of_channel{from[x] * colour.red, from[x] * colour.green, from[x] * colour.blue};
      if (has_colours) of_channel = stained(of_channel, sight, device.gain, y, x);
      if (channels == 1) of_channel[0] = has_colours ? luminance_of(of_channel) : from[x];
      for (int c = 0; c < channels; ++c) {
        const double clean = of_channel[static_cast<std::size_t>(c)];
        const double sigma = device.dark_noise + device.noise * std::sqrt(std::max(0.0, clean));
        const double code = code_of(clean + sigma * dice.normal());
        *to++ = static_cast<Code>(std::lround(std::clamp(code, 0.0, full)));
      }
    }
  }
}

// The three rows of a scanner's sensor do not quite lie on each other: red and blue stand off green.
void move_channels(cv::Mat& pixels, double most_px, Dice& dice) {
  std::vector<cv::Mat> channels;
  cv::split(pixels, channels);
  for (const std::size_t c : {0U, 2U}) {
    const double x = dice.uniform(-most_px, most_px);
    const double y = dice.uniform(-most_px, most_px);
    const cv::Matx23d move(1.0, 0.0, x, 0.0, 1.0, y);
    cv::Mat moved;
    cv::warpAffine(channels[c], moved, move, pixels.size(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
    channels[c] = moved;
  }
  cv::merge(channels, pixels);
}

}  // namespace

cv::Mat scanned(const Sight& sight, const DeviceModel& device, Dice dice) {
  cv::Mat light;
  sight.light.copyTo(light);
  if (device.blur_px > 0.2) cv::GaussianBlur(light, light, {}, device.blur_px);
  add_flare(light, device);
  cv::Mat pixels(light.size(), CV_MAKETYPE(device.bits == 16 ? CV_16U : CV_8U, device.colour ? 3 : 1));
  if (device.bits == 16)
    write_pixels<std::uint16_t>(pixels, light, sight, device, dice);
  else
    write_pixels<std::uint8_t>(pixels, light, sight, device, dice);
  if (device.colour && device.off_register_px > 0.0) move_channels(pixels, device.off_register_px, dice);
  return pixels;
}

}  // namespace platewise
