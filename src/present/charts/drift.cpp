#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "../numbers.h"
#include "../words.h"
#include "charts.h"
#include "frame.h"

namespace platewise {
namespace {

using namespace charts;

Span shown_values(const DriftPlot& plot) {
  Span shown{1e9, -1e9};
  const auto include = [&](double value) {
    shown.low = std::min(shown.low, value);
    shown.high = std::max(shown.high, value);
  };
  for (const auto& point : plot.points) {
    if (point) include(*point);
  }
  if (plot.limits != nullptr) {
    include(plot.limits->limits.lower());
    include(plot.limits->limits.upper());
  }
  constexpr double kLeastSpan = 0.02;  // finer than any of these is measured
  const double border = std::max(kLeastSpan, 0.08 * (shown.high - shown.low));
  return {shown.low - border, shown.high + border};
}

std::string level(const Frame& frame, double value, std::string_view css_class) {
  const double y = frame.at_y(value);
  return fmt::format("<line class=\"{}\" x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\"/>",
                     css_class, frame.left, y, frame.end_x(), y);
}

// The labels stand beside the plot, where no point can lie, and keep a line's distance.
std::string limit_lines(const Frame& frame, const ChartLimits& limits) {
  constexpr double kLineHeight = 15.0;
  constexpr double kToBaseline = 4.5;
  const double middle = frame.at_y(limits.centre);
  const auto label = [&](double y, const std::string& text) {
    return text_at(frame.end_x() + 5, y + kToBaseline, "number", "start", text);
  };
  return level(frame, limits.upper(), "limit") + level(frame, limits.centre, "centre") +
         level(frame, limits.lower(), "limit") +
         label(std::min(frame.at_y(limits.upper()), middle - kLineHeight),
               fmt::format(words::kDriftUpper, density_text(limits.upper()))) +
         label(middle, fmt::format(words::kDriftCentre, density_text(limits.centre))) +
         label(std::max(frame.at_y(limits.lower()), middle + kLineHeight),
               fmt::format(words::kDriftLower, density_text(limits.lower())));
}

std::string row_of_points(const Frame& frame, const DriftPlot& plot) {
  std::string line;
  std::string dots;
  bool joined = false;
  for (std::size_t i = 0; i < plot.points.size(); ++i) {
    if (!plot.points[i]) {
      joined = false;
      continue;
    }
    const double x = frame.at_x(static_cast<double>(i + 1));
    const double y = frame.at_y(*plot.points[i]);
    line += fmt::format("{}{:.1f} {:.1f}", joined ? "L" : "M", x, y);
    dots += fmt::format("<circle class=\"now\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\"/>", x, y);
    joined = true;
  }
  return fmt::format("<path class=\"row\" d=\"{}\"/>", line) + dots;
}

// A ring and the plate's number: told apart without colour.
std::string signal_rings(const Frame& frame, const DriftPlot& plot) {
  std::string svg;
  for (const ChartSignal& signal : plot.limits->signals) {
    const double x = frame.at_x(static_cast<double>(signal.index + 1));
    const double y = frame.at_y(plot.limits->points[signal.index]);
    svg += fmt::format("<circle class=\"next\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"9\"/>", x, y);
    svg += text_at(x, y - 13, "letter halo", "middle", fmt::format("{}", signal.index + 1));
  }
  return svg;
}

}  // namespace

std::string drift_svg(const DriftPlot& plot) {
  Frame frame;
  frame.top = 24;
  if (plot.limits != nullptr) frame.right = 92;
  frame.x = {0.5, static_cast<double>(plot.points.size()) + 0.5};
  frame.y = shown_values(plot);
  std::string svg = opened(frame, plot.title, fmt::format(words::kDriftDescription, plot.title));
  if (plot.limits != nullptr) svg += limit_lines(frame, plot.limits->limits);
  svg += row_of_points(frame, plot);
  if (plot.limits != nullptr) svg += signal_rings(frame, plot);
  return svg + x_axis(frame, words::kDriftPlateAxis, 1.0) + y_axis(frame, plot.axis) + "</svg>";
}

}  // namespace platewise
