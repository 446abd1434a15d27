#include "frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "../escape.h"
#include "../numbers.h"

namespace platewise::charts {
namespace {

struct Ticks {
  double step = 1.0;
  int first = 0;
  int last = 0;
};

Ticks ticks(Span span, double parts, double least_step) {
  const double step = std::max(least_step, tick_step(span, parts));
  constexpr double kRoundingSlack = 1e-9;
  return {step, static_cast<int>(std::ceil(span.low / step - kRoundingSlack)),
          static_cast<int>(std::floor(span.high / step + kRoundingSlack))};
}

std::string number(double value, double step) {
  const int decimals = std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 3);
  const double shown = std::abs(value) < step / 2 ? 0.0 : value;
  return fmt::format("{}{:.{}f}", shown < 0 ? "\u2212" : "", std::abs(shown), decimals);
}

std::string line(double x1, double y1, double x2, double y2, std::string_view css_class) {
  return fmt::format("<line class=\"{}\" x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\"/>",
                     css_class, x1, y1, x2, y2);
}

}  // namespace

double Frame::at_x(double value) const {
  double share = (value - x.low) / (x.high - x.low);
  if (x_falls) share = 1.0 - share;
  return left + share * (width - left - right);
}

double Frame::at_y(double value) const {
  return height - bottom - (value - y.low) / (y.high - y.low) * (height - top - bottom);
}

std::string opened(const Frame& frame, std::string_view title, std::string_view description) {
  return fmt::format("<svg class=\"plot\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" aria-label=\"{}. {}\">",
                     frame.width, frame.height, escaped(title), escaped(description));
}

double tick_step(Span span, double parts) {
  const double rough = (span.high - span.low) / parts;
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * power >= rough) return factor * power;
  }
  return 10.0 * power;
}

std::string text_at(double x, double y, std::string_view css_class, std::string_view anchor,
                    std::string_view text) {
  return fmt::format("<text class=\"{}\" text-anchor=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\">{}</text>", css_class,
                     anchor, x, y, escaped(text));
}

std::string x_axis(const Frame& frame, std::string_view label, double least_step) {
  std::string svg = line(frame.left, frame.floor_y(), frame.end_x(), frame.floor_y(), "axis");
  const Ticks marks = ticks(frame.x, 6.0, least_step);
  for (int i = marks.first; i <= marks.last; ++i) {
    const double x = frame.at_x(i * marks.step);
    svg += line(x, frame.floor_y(), x, frame.floor_y() + 5, "tick");
    svg += text_at(x, frame.floor_y() + 19, "number", "middle", number(i * marks.step, marks.step));
  }
  return svg + text_at((frame.left + frame.end_x()) / 2, frame.height - 9, "label", "middle", label);
}

std::string y_axis(const Frame& frame, std::string_view label, double factor) {
  std::string svg = line(frame.left, frame.top, frame.left, frame.floor_y(), "axis");
  const Ticks marks = ticks({frame.y.low * factor, frame.y.high * factor}, 5.0, 0.0);
  for (int i = marks.first; i <= marks.last; ++i) {
    const double y = frame.at_y(i * marks.step / factor);
    svg += line(frame.left - 5, y, frame.left, y, "tick");
    svg += text_at(frame.left - 8, y + 4.5, "number", "end", number(i * marks.step, marks.step));
  }
  return svg + fmt::format(
                   "<text class=\"label\" text-anchor=\"middle\" transform=\"translate(14 {:.1f}) "
                   "rotate(-90)\">{}</text>",
                   (frame.top + frame.floor_y()) / 2, escaped(label));
}

std::vector<ToneSign> tone_signs(const Tones& tones) {
  std::vector<ToneSign> signs;
  const auto add = [&](const char* letter, const std::optional<Quantity>& value) {
    if (value) signs.push_back({letter, value->value});
  };
  add("S", tones.support_density);
  add("M", tones.margin_density);
  add("F", tones.floor_density);
  add("\u00bd", tones.midtone_density);
  add("H", tones.highlight_density);
  return signs;
}

}  // namespace platewise::charts
