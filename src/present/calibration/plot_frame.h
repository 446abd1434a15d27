#pragma once

#include <string>
#include <string_view>

namespace platewise {

struct PlotSpan {
  double low = 0.0;
  double high = 1.0;
};

// A plot area of a fixed drawing size; the page scales it.
struct PlotFrame {
  double width = 640;
  double height = 300;
  double left = 56;
  double right = 16;
  double top = 46;
  double bottom = 48;
  PlotSpan x;
  PlotSpan y;
  bool x_falls = false;  // greater values to the left

  [[nodiscard]] double at_x(double value) const {
    double share = (value - x.low) / (x.high - x.low);
    if (x_falls) share = 1.0 - share;
    return left + share * (width - left - right);
  }
  [[nodiscard]] double at_y(double value) const {
    return height - bottom - (value - y.low) / (y.high - y.low) * (height - top - bottom);
  }
  [[nodiscard]] double floor_y() const { return height - bottom; }
};

// Axis with ticks at round numbers, and its label.
[[nodiscard]] std::string x_axis(const PlotFrame& frame, std::string_view label);
[[nodiscard]] std::string y_axis(const PlotFrame& frame, std::string_view label);
// The label alone, where numbers say nothing.
[[nodiscard]] std::string y_label(const PlotFrame& frame, std::string_view label);

}  // namespace platewise
