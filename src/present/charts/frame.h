#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "platewise/tones/tones.h"

// What the plots share: the drawing area, its axes and the signs of the tones.
namespace platewise::charts {

struct Span {
  double low = 0.0;
  double high = 1.0;
};

// A plot area of a fixed drawing size, small enough that its letters can be read on a phone 360 px wide; the
// page scales it.
struct Frame {
  double width = 420;
  double height = 290;
  double left = 58;
  double right = 14;
  double top = 52;
  double bottom = 50;
  Span x;
  Span y;
  bool x_falls = false;  // greater values to the left

  [[nodiscard]] double at_x(double value) const;
  [[nodiscard]] double at_y(double value) const;
  [[nodiscard]] double floor_y() const { return height - bottom; }
  [[nodiscard]] double end_x() const { return width - right; }
};

[[nodiscard]] std::string opened(const Frame& frame, std::string_view title, std::string_view description);

// A step of 1, 2 or 5 times a power of ten that divides the span into about `parts`.
[[nodiscard]] double tick_step(Span span, double parts);

[[nodiscard]] std::string x_axis(const Frame& frame, std::string_view label, double least_step = 0.0);
// `factor` turns the axis's values into the numbers written (100 for percent).
[[nodiscard]] std::string y_axis(const Frame& frame, std::string_view label, double factor = 1.0);

[[nodiscard]] std::string text_at(double x, double y, std::string_view css_class, std::string_view anchor,
                                  std::string_view text);

struct ToneSign {
  std::string letter;
  double density = 0.0;
};

// S support, M margin, F floor, one half mid-tone, H highlight: those that were measured.
[[nodiscard]] std::vector<ToneSign> tone_signs(const Tones& tones);

}  // namespace platewise::charts
