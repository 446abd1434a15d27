#include "plots.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "../charts/frame.h"
#include "../escape.h"

namespace platewise {

using charts::Frame;
using charts::opened;
using charts::Span;

namespace {

constexpr double kBarSigmas = 2.0;
constexpr double kLeft = 72.0;  // room for signed numbers beside the label

Span widened(Span span, double share) {
  const double margin = share * std::max(span.high - span.low, 1e-6);
  return {span.low - margin, span.high + margin};
}

Span x_span(const CurvePlot& plot) {
  Span span{1e9, -1e9};
  for (const PlotPoint& point : plot.points) {
    span.low = std::min(span.low, point.x);
    span.high = std::max(span.high, point.x);
  }
  for (const PlotLine& place : plot.places) {
    span.low = std::min(span.low, place.at);
    span.high = std::max(span.high, place.at);
  }
  return widened(span, 0.04);
}

double residual(const CurvePlot& plot, std::size_t i) {
  return plot.residuals.empty() ? plot.points[i].y - plot.curve(plot.points[i].x) : plot.residuals[i];
}

std::string point_svg(const Frame& frame, const PlotPoint& point) {
  const double x = frame.at_x(point.x);
  const auto y = [&](double value) { return frame.at_y(std::clamp(value, frame.y.low, frame.y.high)); };
  return fmt::format(
      "<line class=\"mark\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\"/>"
      "<circle class=\"now\" cx=\"{0:.1f}\" cy=\"{3:.1f}\" r=\"3.5\"/>",
      x, y(point.y - kBarSigmas * point.u), y(point.y + kBarSigmas * point.u), y(point.y));
}

std::string level_svg(const Frame& frame, const PlotLine& level) {
  const double y = frame.at_y(level.at);
  return fmt::format(
      "<line class=\"mark dash2\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{2:.1f}\" y2=\"{1:.1f}\"/>"
      "<text class=\"number\" x=\"{3:.1f}\" y=\"{4:.1f}\">{5}</text>",
      frame.left, y, frame.end_x(), frame.left + 6, y - 5, escaped(level.words));
}

std::string place_svg(const Frame& frame, const PlotLine& place) {
  const double x = frame.at_x(place.at);
  return fmt::format(
      "<line class=\"mark dash1\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\"/>"
      "<text class=\"number\" x=\"{3:.1f}\" y=\"{4:.1f}\">{5}</text>",
      x, frame.top, frame.floor_y(), x + 5, frame.top + 12, escaped(place.words));
}

}  // namespace

std::string curve_plot_svg(const CurvePlot& plot) {
  if (plot.points.size() < 2) return {};
  Frame frame;
  frame.left = kLeft;
  frame.top = 20;
  frame.x = x_span(plot);
  constexpr int kParts = 160;
  std::vector<PlotPoint> curve;
  Span y{1e9, -1e9};
  for (int i = 0; i <= kParts; ++i) {
    const double x = frame.x.low + (frame.x.high - frame.x.low) * i / kParts;
    const double value = plot.curve(x);
    if (std::isfinite(value)) curve.push_back({x, value, 0.0});
  }
  const auto take = [&y](double value) {
    y.low = std::min(y.low, value);
    y.high = std::max(y.high, value);
  };
  for (const PlotPoint& point : curve) take(point.y);
  for (const PlotPoint& point : plot.points) take(point.y);
  for (const PlotLine& level : plot.levels) take(level.at);
  frame.y = widened(y, 0.06);
  std::string svg = opened(frame, plot.title, plot.description);
  std::string path;
  for (const PlotPoint& point : curve) {
    path +=
        fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", frame.at_x(point.x), frame.at_y(point.y));
  }
  svg += fmt::format("<path class=\"curve\" d=\"{}\"/>", path);
  for (const PlotLine& level : plot.levels) svg += level_svg(frame, level);
  for (const PlotLine& place : plot.places) svg += place_svg(frame, place);
  for (const PlotPoint& point : plot.points) svg += point_svg(frame, point);
  return svg + charts::x_axis(frame, plot.x_label) + charts::y_axis(frame, plot.y_label) + "</svg>";
}

std::string residual_plot_svg(const CurvePlot& plot) {
  if (plot.points.size() < 2) return {};
  Frame frame;
  frame.left = kLeft;
  frame.height = 220;
  frame.top = 16;
  frame.x = x_span(plot);
  double reach = 0.01;  // density: smaller residuals need no closer look
  for (std::size_t i = 0; i < plot.points.size(); ++i) {
    reach = std::max(reach, std::abs(residual(plot, i)) + kBarSigmas * plot.points[i].u);
  }
  frame.y = {-1.05 * reach, 1.05 * reach};
  std::string svg = opened(frame, "Residuals", "Each step minus the curve, with two standard uncertainties.");
  const double zero = frame.at_y(0.0);
  svg += fmt::format("<line class=\"axis\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{2:.1f}\" y2=\"{1:.1f}\"/>",
                     frame.left, zero, frame.end_x());
  for (std::size_t i = 0; i < plot.points.size(); ++i) {
    svg += point_svg(frame, {plot.points[i].x, residual(plot, i), plot.points[i].u});
  }
  return svg + charts::x_axis(frame, plot.x_label) + charts::y_axis(frame, "step minus curve, density") +
         "</svg>";
}

}  // namespace platewise
