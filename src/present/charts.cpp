#include "charts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include "escape.h"
#include "numbers.h"

namespace platewise {
namespace {

struct Span {
  double low = 0.0;
  double high = 1.0;
};

// A plot area of a fixed drawing size; the page scales it.
struct Frame {
  double width = 640;
  double height = 300;
  double left = 56;
  double right = 16;
  double top = 46;
  double bottom = 48;
  Span x;
  Span y;
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

// Several plates share a page: pattern names must differ.
std::string aim_pattern(const PlateScore& score) {
  return "aim-" + score.scan.sha256.substr(0, 12);
}

std::string opened(const Frame& frame, std::string_view title, std::string_view description,
                   std::string_view pattern) {
  return fmt::format(
      "<svg class=\"plot\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\"><title>{}</title><desc>{}</desc>"
      "<defs><pattern id=\"{}\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" "
      "patternTransform=\"rotate(45)\"><line class=\"hatch\" x1=\"0\" y1=\"0\" x2=\"0\" "
      "y2=\"8\"/></pattern></defs>",
      frame.width, frame.height, escaped(title), escaped(description), pattern);
}

double tick_step(Span span) {
  const double rough = (span.high - span.low) / 7.0;
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double factor : {1.0, 2.0, 5.0, 10.0}) {
    if (factor * power >= rough) return factor * power;
  }
  return 10.0 * power;
}

std::string x_axis(const Frame& frame, std::string_view label) {
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
        x, frame.floor_y(), frame.floor_y() + 5, frame.floor_y() + 19, density_text(v));
  }
  return svg + fmt::format("<text class=\"label\" text-anchor=\"middle\" x=\"{:.1f}\" y=\"{:.1f}\">{}</text>",
                           (frame.left + frame.width - frame.right) / 2, frame.height - 8, escaped(label));
}

std::string y_label(const Frame& frame, std::string_view label) {
  const double y = (frame.top + frame.floor_y()) / 2;
  return fmt::format(
      "<text class=\"label\" text-anchor=\"middle\" transform=\"translate(16 {:.1f}) rotate(-90)\">{}</text>",
      y, escaped(label));
}

struct Mark {
  std::string letter;
  double value = 0.0;
};

std::vector<Mark> tone_marks(const Tones& tones) {
  std::vector<Mark> marks;
  const auto add = [&](const char* letter, const std::optional<Quantity>& value) {
    if (value) marks.push_back({letter, value->value});
  };
  add("S", tones.support_density);
  add("M", tones.margin_density);
  add("F", tones.floor_density);
  add("\u00bd", tones.midtone_density);
  add("H", tones.highlight_density);
  return marks;
}

// Letters that would sit on each other go up a row.
std::string mark_lines(const Frame& frame, std::vector<Mark> marks) {
  std::sort(marks.begin(), marks.end(),
            [&](const Mark& a, const Mark& b) { return frame.at_x(a.value) < frame.at_x(b.value); });
  constexpr double kLetterWidth = 16.0;
  std::string svg;
  double last_x = -100;
  int row = 0;
  int number = 0;
  for (const Mark& mark : marks) {
    const double x = frame.at_x(mark.value);
    row = x - last_x < kLetterWidth ? (row + 1) % 3 : 0;
    last_x = x;
    const double y = frame.top - 4 - 13 * row;
    svg += fmt::format(
        "<line class=\"mark dash{3}\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\"/>"
        "<text class=\"letter\" text-anchor=\"middle\" x=\"{0:.1f}\" y=\"{1:.1f}\" dy=\"-2\">{4}</text>",
        x, y, frame.floor_y(), number++ % 5, mark.letter);
  }
  return svg;
}

// Where the handbook wants the highlight: absolute for calibrated plates, else from the support or floor.
std::optional<Span> highlight_aim(const PlateScore& score) {
  const Tones& tones = *score.tones;
  if (score.kind == PlateKind::negative) {
    const auto& base = tones.support_density ? tones.support_density : tones.floor_density;
    if (!base) return std::nullopt;
    return Span{base->value + 1.5, base->value + 2.0};
  }
  if (!tones.support_density) return std::nullopt;
  return Span{tones.support_density->value - 0.95, tones.support_density->value - 0.75};
}

std::string aim_band(const Frame& frame, Span aim, std::string_view pattern) {
  const double a = frame.at_x(std::clamp(aim.low, frame.x.low, frame.x.high));
  const double b = frame.at_x(std::clamp(aim.high, frame.x.low, frame.x.high));
  if (std::abs(a - b) < 1.0) return {};
  return fmt::format(
      "<rect class=\"aim\" fill=\"url(#{})\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\"/>"
      "<text class=\"number\" text-anchor=\"middle\" x=\"{:.1f}\" y=\"{:.1f}\">lights aim here</text>",
      pattern, std::min(a, b), frame.top, std::abs(a - b), frame.floor_y() - frame.top, (a + b) / 2,
      frame.top + 14);
}

std::string veil_bracket(const Frame& frame, const Tones& tones) {
  if (!tones.fog || !tones.support_density || !tones.floor_density) return {};
  const double a = frame.at_x(tones.support_density->value);
  const double b = frame.at_x(tones.floor_density->value);
  const double y = frame.top + 8;
  return fmt::format("<path class=\"veil\" d=\"M{0:.1f} {2:.1f} v-6 H{1:.1f} v6\"/>", a, b, y);
}

std::string bars(const Frame& frame, const DensityHistogram& histogram) {
  std::string path;
  for (std::size_t i = 0; i < histogram.share.size(); ++i) {
    if (histogram.share[i] <= 0) continue;
    const double a = frame.at_x(histogram.edges[i]);
    const double b = frame.at_x(histogram.edges[i + 1]);
    path += fmt::format("M{:.1f} {:.1f}V{:.1f}H{:.1f}V{:.1f}z", a, frame.floor_y(),
                        frame.at_y(histogram.share[i]), b, frame.floor_y());
  }
  return fmt::format("<path class=\"bars\" d=\"{}\"/>", path);
}

Span shown_densities(const Tones& tones, const std::optional<Span>& aim) {
  const DensityHistogram& histogram = tones.histogram;
  std::vector<double> ends;
  for (std::size_t i = 0; i < histogram.share.size(); ++i) {
    if (histogram.share[i] > 0.0005) {
      ends.push_back(histogram.edges[i]);
      ends.push_back(histogram.edges[i + 1]);
    }
  }
  for (const Mark& mark : tone_marks(tones)) ends.push_back(mark.value);
  if (aim) ends.insert(ends.end(), {aim->low, aim->high});
  if (ends.empty()) return {0.0, 2.0};
  const auto [low, high] = std::minmax_element(ends.begin(), ends.end());
  return {*low - 0.06, *high + 0.06};
}

}  // namespace

std::string histogram_svg(const PlateScore& score) {
  if (!score.tones || score.tones->histogram.share.empty()) return {};
  const Tones& tones = *score.tones;
  const std::optional<Span> aim = highlight_aim(score);
  Frame frame;
  frame.x = shown_densities(tones, aim);
  frame.x_falls = is_positive(score.kind);
  const auto& share = tones.histogram.share;
  frame.y = {0.0, std::max(1e-6, *std::max_element(share.begin(), share.end()) * 1.08)};
  std::string svg =
      opened(frame, "Tone histogram",
             "Share of the picture by density. S support, M margin, F floor, one half mid-tone, H highlight.",
             aim_pattern(score));
  if (aim) svg += aim_band(frame, *aim, aim_pattern(score));
  svg += bars(frame, tones.histogram);
  svg += mark_lines(frame, tone_marks(tones));
  svg += veil_bracket(frame, tones);
  svg += x_axis(frame, is_positive(score.kind) ? "density: black of the plate left, lights right"
                                               : "density: clear glass left, lights right");
  return svg + y_label(frame, "share of picture") + "</svg>";
}

std::string curve_svg(const PlateScore& score) {
  if (score.curves.empty()) return {};
  Frame frame;
  frame.top = 20;
  frame.x = {1e9, -1e9};
  frame.y = {0.0, 0.1};
  for (const PlateCurve& curve : score.curves) {
    for (const CurveStep& step : curve.steps) {
      frame.x.low = std::min(frame.x.low, step.log_exposure - 0.2);
      frame.x.high = std::max(frame.x.high, step.log_exposure + 0.2);
    }
  }
  if (frame.x.low >= frame.x.high) return {};
  for (const PlateCurve& curve : score.curves) {
    frame.y.high = std::max(frame.y.high, 1.1 * curve.model.silver(frame.x.high));
  }
  std::string svg =
      opened(frame, "Characteristic curve",
             "Image silver against log exposure, with the tones of this plate now and after the change.",
             aim_pattern(score));
  constexpr int kPoints = 80;
  for (const PlateCurve& curve : score.curves) {
    std::string path;
    for (int i = 0; i <= kPoints; ++i) {
      const double x = frame.x.low + (frame.x.high - frame.x.low) * i / kPoints;
      path += fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : "L", frame.at_x(x),
                          frame.at_y(curve.model.silver(x)));
    }
    svg += fmt::format("<path class=\"curve\" d=\"{}\"/>", path);
  }
  const PlateCurve& curve = score.curves.front();
  if (score.tones && score.tones->support_density) {
    const double sign = is_positive(score.kind) ? 1.0 : -1.0;
    const double shift = score.recommendation ? score.recommendation->exposure.change * std::log10(2.0) : 0.0;
    for (const Mark& mark : tone_marks(*score.tones)) {
      const double silver = sign * (score.tones->support_density->value - mark.value);
      const double x = curve.model.log_exposure_for(silver);
      if (!std::isfinite(x) || mark.letter == "S" || mark.letter == "M") continue;
      const double next = curve.model.silver(x + shift);
      svg += fmt::format(
          "<circle class=\"now\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"/>"
          "<text class=\"letter\" x=\"{:.1f}\" y=\"{:.1f}\">{}</text>"
          "<rect class=\"next\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"9\" height=\"9\"/>",
          frame.at_x(x), frame.at_y(silver), frame.at_x(x) + 8, frame.at_y(silver) + 14, mark.letter,
          frame.at_x(std::clamp(x + shift, frame.x.low, frame.x.high)) - 4.5, frame.at_y(next) - 4.5);
    }
  }
  svg += x_axis(frame, "log exposure (one stop = 0.30)");
  return svg + y_label(frame, "image silver, density") + "</svg>";
}

}  // namespace platewise
