#pragma once

#include <functional>
#include <string>
#include <vector>

namespace platewise {

// One measured point with its standard uncertainty along y.
struct PlotPoint {
  double x = 0.0;
  double y = 0.0;
  double u = 0.0;
};

// A level or place worth naming on a plot: a line and its words.
struct PlotLine {
  std::string words;
  double at = 0.0;
};

struct CurvePlot {
  std::string title;
  std::string description;
  std::string x_label;
  std::string y_label;
  std::vector<PlotPoint> points;
  std::function<double(double)> curve;
  std::vector<double> residuals;  // of the points, where they are not simply point minus curve
  std::vector<PlotLine> levels;   // along x, at y
  std::vector<PlotLine> places;   // along y, at x
};

// Points with bars of two standard uncertainties, and the curve through them, as inline SVG.
[[nodiscard]] std::string curve_plot_svg(const CurvePlot& plot);

// What is left over the curve at each point, over the same x.
[[nodiscard]] std::string residual_plot_svg(const CurvePlot& plot);

}  // namespace platewise
