#include "linearise.h"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <utility>

namespace platewise {
namespace {

std::size_t bytes_of(SampleType sample) {
  return sample == SampleType::unsigned_8 ? 1 : sample == SampleType::unsigned_16 ? 2 : 4;
}

// Less than half opaque anywhere in the last channel.
template <class Sample>
bool any_transparent(const Sample* samples, int pixels, int channels, Sample half) {
  const Sample* last = samples + channels - 1;
  for (int i = 0; i < pixels; ++i, last += channels) {
    if (*last < half) return true;
  }
  return false;
}

}  // namespace

Lineariser::Lineariser(const PixelLayout& layout, ColourConversion conversion, bool inverted)
    : layout_(layout), conversion_(std::move(conversion)), inverted_(inverted) {
  const auto width = static_cast<std::size_t>(layout.width_px);
  const cv::Vec3d weights = conversion_.luminance_weights();
  weights_ = cv::Vec3f(static_cast<float>(weights[0]), static_cast<float>(weights[1]),
                       static_cast<float>(weights[2]));
  row_.luminance.resize(width);
  if (layout.colour_channels == 3) {
    row_.red.resize(width);
    row_.green.resize(width);
    row_.blue.resize(width);
  }
  if (conversion_.pixels) triples_.resize(3 * width);
  // Channels nearly always share one curve; one table of 65536 values then stays in the processor's cache.
  for (std::size_t channel = 0; channel < conversion_.curves.size(); ++channel) {
    curve_of_channel_[channel] = conversion_.curves[channel] == conversion_.curves[0] ? 0 : channel;
  }
}

const LinearRow& Lineariser::operator()(const void* samples) {
  if (conversion_.pixels) {
    convert_by_table(samples);
  } else if (layout_.sample == SampleType::unsigned_8) {
    convert(static_cast<const std::uint8_t*>(samples));
  } else if (layout_.sample == SampleType::unsigned_16) {
    convert(static_cast<const std::uint16_t*>(samples));
  } else {
    convert_real(static_cast<const float*>(samples));
  }
  return row_;
}

void Lineariser::add_luminance_of_channels() {
  const float* red = row_.red.data();
  const float* green = row_.green.data();
  const float* blue = row_.blue.data();
  float* luminance = row_.luminance.data();
  for (std::size_t i = 0; i < row_.luminance.size(); ++i) {
    luminance[i] = weights_[0] * red[i] + weights_[1] * green[i] + weights_[2] * blue[i];
  }
}

template <class Sample>
void Lineariser::convert(const Sample* samples) {
  const int step = channels();
  if (layout_.extra_channels > 0 && !transparent_) {
    constexpr Sample kHalf = std::numeric_limits<Sample>::max() / 2;
    transparent_ = any_transparent(samples, layout_.width_px, step, kHalf);
  }
  const float* first = conversion_.curves[0].data();
  if (layout_.colour_channels == 1) {
    for (float& light : row_.luminance) {
      light = first[*samples];
      samples += step;
    }
    return;
  }
  const float* second = conversion_.curves[curve_of_channel_[1]].data();
  const float* third = conversion_.curves[curve_of_channel_[2]].data();
  for (std::size_t i = 0; i < row_.red.size(); ++i, samples += step) {
    row_.red[i] = first[samples[0]];
    row_.green[i] = second[samples[1]];
    row_.blue[i] = third[samples[2]];
  }
  add_luminance_of_channels();
}

void Lineariser::convert_real(const float* samples) {
  const int step = channels();
  const auto linear = [this](float value) {
    if (!(value >= 0.0F && value <= 1.0F)) impossible_ = true;  // also when not a number
    return inverted_ ? 1.0F - value : value;
  };
  for (std::size_t i = 0; i < row_.luminance.size(); ++i, samples += step) {
    if (layout_.colour_channels == 1) {
      row_.luminance[i] = linear(samples[0]);
      continue;
    }
    row_.red[i] = linear(samples[0]);
    row_.green[i] = linear(samples[1]);
    row_.blue[i] = linear(samples[2]);
  }
  if (layout_.colour_channels == 3) add_luminance_of_channels();
}

void Lineariser::convert_by_table(const void* samples) {
  if (inverted_) {  // full scale minus the code is the complement of its bits
    const auto* bytes = static_cast<const unsigned char*>(samples);
    const std::size_t count = row_.luminance.size() * channels() * bytes_of(layout_.sample);
    inverted_samples_.resize(count);
    std::transform(bytes, bytes + count, inverted_samples_.begin(),
                   [](unsigned char byte) { return static_cast<unsigned char>(~byte); });
    samples = inverted_samples_.data();
  }
  conversion_.pixels->to_linear_srgb(samples, layout_.width_px, triples_.data());
  for (std::size_t i = 0; i < row_.red.size(); ++i) {
    row_.red[i] = triples_[3 * i];
    row_.green[i] = triples_[3 * i + 1];
    row_.blue[i] = triples_[3 * i + 2];
  }
  add_luminance_of_channels();
}

}  // namespace platewise
