#pragma once

#include <array>

#include "colour.h"
#include "shrink.h"

namespace platewise {

enum class SampleType { unsigned_8, unsigned_16, real_32 };

struct PixelLayout {
  SampleType sample = SampleType::unsigned_8;
  int width_px = 0;
  int colour_channels = 1;  // 1 or 3
  int extra_channels = 0;   // after the colour: transparency or infrared
};

// Turns rows of stored samples into linear light.
class Lineariser {
 public:
  Lineariser(const PixelLayout& layout, ColourConversion conversion, bool inverted);

  // `samples` holds one row, interleaved. The returned row is overwritten by the next call.
  const LinearRow& operator()(const void* samples);

  [[nodiscard]] bool met_impossible_value() const { return impossible_; }  // real values not in 0..1
  [[nodiscard]] bool met_transparency() const { return transparent_; }

 private:
  template <class Sample>
  void convert(const Sample* samples);
  void convert_real(const float* samples);
  void convert_by_table(const void* samples);
  void add_luminance_of_channels();
  [[nodiscard]] int channels() const { return layout_.colour_channels + layout_.extra_channels; }

  PixelLayout layout_;
  ColourConversion conversion_;
  bool inverted_;
  std::array<std::size_t, 3> curve_of_channel_{};
  cv::Vec3f weights_;
  LinearRow row_;
  std::vector<unsigned char> inverted_samples_;
  std::vector<float> triples_;
  bool impossible_ = false;
  bool transparent_ = false;
};

}  // namespace platewise
