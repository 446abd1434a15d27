#include "plot_frame.h"

#include <fmt/format.h>

#include <cmath>

#include "../escape.h"
#include "../numbers.h"

namespace platewise {
namespace {

double tick_step(PlotSpan span) {
  const double rough = (span.high - span.low) / 7.0;
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double factor : {1.0, 2.0, 5.0, 10.0}) {
    if (factor * power >= rough) return factor * power;
  }
  return 10.0 * power;
}

// As many decimals as the step needs.
std::string tick_text(double value, double step) {
  constexpr double kHundredth = 0.0099;
  if (step > kHundredth) return density_text(value);
  return (value < -0.5 * step ? "\u2212" : "") + fmt::format("{:.3f}", std::abs(value));
}

}  // namespace

std::string x_axis(const PlotFrame& frame, std::string_view label) {
  std::string svg =
      fmt::format("<line class=\"axis\" x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\"/>",
                  frame.left, frame.floor_y(), frame.width - frame.right, frame.floor_y());
  const double step = tick_step(frame.x);
  const int first = static_cast<int>(std::ceil(frame.x.low / step));
  const int last = static_cast<int>(std::floor(frame.x.high / step));
  for (int i = first; i <= last; ++i) {
    const double v = i * step;
    const double x = frame.at_x(v);
    svg += fmt::format(
        "<line class=\"tick\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\"/>"
        "<text class=\"number\" text-anchor=\"middle\" x=\"{0:.1f}\" y=\"{3:.1f}\">{4}</text>",
        x, frame.floor_y(), frame.floor_y() + 5, frame.floor_y() + 19, tick_text(v, step));
  }
  return svg + fmt::format("<text class=\"label\" text-anchor=\"middle\" x=\"{:.1f}\" y=\"{:.1f}\">{}</text>",
                           (frame.left + frame.width - frame.right) / 2, frame.height - 8, escaped(label));
}

std::string y_axis(const PlotFrame& frame, std::string_view label) {
  std::string svg =
      fmt::format("<line class=\"axis\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\"/>",
                  frame.left, frame.top, frame.floor_y());
  const double step = tick_step(frame.y);
  const int first = static_cast<int>(std::ceil(frame.y.low / step));
  const int last = static_cast<int>(std::floor(frame.y.high / step));
  for (int i = first; i <= last; ++i) {
    const double y = frame.at_y(i * step);
    svg += fmt::format(
        "<line class=\"tick\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{2:.1f}\" y2=\"{1:.1f}\"/>"
        "<text class=\"number\" text-anchor=\"end\" x=\"{3:.1f}\" y=\"{4:.1f}\">{5}</text>",
        frame.left - 5, y, frame.left, frame.left - 8, y + 4, tick_text(i * step, step));
  }
  return svg + y_label(frame, label);
}

std::string y_label(const PlotFrame& frame, std::string_view label) {
  const double y = (frame.top + frame.floor_y()) / 2;
  return fmt::format(
      "<text class=\"label\" text-anchor=\"middle\" transform=\"translate(16 {:.1f}) rotate(-90)\">{}</text>",
      y, escaped(label));
}

}  // namespace platewise
