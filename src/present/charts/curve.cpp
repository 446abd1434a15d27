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

constexpr double kLogTwo = 0.30103;

// The curve whose development is nearest to `seconds` (in ratio); the first where a time is unknown.
const PlateCurve& curve_for(const PlateScore& score, const std::optional<double>& seconds) {
  const PlateCurve* nearest = &score.curves.front();
  if (!seconds) return *nearest;
  const auto distance = [&](const PlateCurve& curve) {
    return curve.development_s ? std::abs(std::log(*curve.development_s / *seconds)) : 1e9;
  };
  for (const PlateCurve& curve : score.curves) {
    if (distance(curve) < distance(*nearest)) nearest = &curve;
  }
  return *nearest;
}

const PlateCurve& curve_now(const PlateScore& score) {
  return curve_for(score, score.settings.development_s);
}

const PlateCurve& curve_next(const PlateScore& score) {
  const auto& advice = score.recommendation;
  return curve_for(
      score, advice && advice->development.to_s ? advice->development.to_s : score.settings.development_s);
}

bool set_axes(const PlateScore& score, Frame& frame) {
  frame.x = {1e9, -1e9};
  frame.y = {0.0, 0.1};
  for (const PlateCurve& curve : score.curves) {
    for (const CurveStep& step : curve.steps) {
      frame.x.low = std::min(frame.x.low, step.log_exposure - 0.2);
      frame.x.high = std::max(frame.x.high, step.log_exposure + 0.2);
    }
  }
  for (const PlateCurve& curve : score.curves) {
    frame.y.high = std::max(frame.y.high, 1.1 * curve.model.silver(frame.x.high));
  }
  return frame.x.low < frame.x.high;
}

std::string curve_line(const Frame& frame, const PlateCurve& curve, std::size_t number) {
  constexpr int kPoints = 80;
  std::string path;
  for (int i = 0; i <= kPoints; ++i) {
    const double x = frame.x.low + (frame.x.high - frame.x.low) * i / kPoints;
    path +=
        fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : "L", frame.at_x(x), frame.at_y(curve.model.silver(x)));
  }
  std::string svg = fmt::format("<path class=\"curve dash{}\" d=\"{}\"/>", number % 5, path);
  if (curve.development_s) {
    // One beside the other, for curves run close together.
    const double x = frame.x.high - (frame.x.high - frame.x.low) * 0.13 * static_cast<double>(number % 5);
    svg += text_at(frame.at_x(x) - 2, frame.at_y(curve.model.silver(x)) - 6, "number halo", "end",
                   fmt::format(words::kCurveTime, seconds_text(*curve.development_s)));
  }
  return svg;
}

std::string tones_on_curve(const Frame& frame, const PlateScore& score) {
  const double sign = is_positive(score.kind) ? 1.0 : -1.0;
  const double shift = score.recommendation ? score.recommendation->exposure.change * kLogTwo : 0.0;
  std::string links;
  std::string marks;
  for (const ToneSign& tone : tone_signs(*score.tones)) {
    if (tone.letter == "S" || tone.letter == "M") continue;
    const double silver = sign * (score.tones->support_density->value - tone.density);
    const double x = curve_now(score).model.log_exposure_for(silver);
    if (!std::isfinite(x) || x < frame.x.low || x > frame.x.high) continue;
    const double next_x = std::clamp(x + shift, frame.x.low, frame.x.high);
    const Point now{frame.at_x(x), frame.at_y(silver)};
    const Point next{frame.at_x(next_x), frame.at_y(curve_next(score).model.silver(next_x))};
    links += fmt::format("<path class=\"link\" d=\"M{:.1f} {:.1f}L{:.1f} {:.1f}\"/>", now.x, now.y, next.x,
                         next.y);
    marks += fmt::format(
        "<circle class=\"now\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"/>"
        "<rect class=\"next\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"10\" height=\"10\"/>",
        now.x, now.y, next.x - 5, next.y - 5);
    marks += text_at(now.x + 9, now.y + 16, "letter halo", "start", tone.letter);
  }
  return links + marks;
}

std::string legend(const Frame& frame) {
  const double y = frame.top - 18;
  return fmt::format("<circle class=\"now\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\"/>", frame.left + 8, y) +
         text_at(frame.left + 18, y + 4.5, "number", "start", words::kCurveNow) +
         fmt::format("<rect class=\"next\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"10\" height=\"10\"/>",
                     frame.left + 130, y - 5) +
         text_at(frame.left + 148, y + 4.5, "number", "start", words::kCurveNext);
}

}  // namespace

bool curve_shows_development(const PlateScore& score) {
  return &curve_now(score) != &curve_next(score);
}

std::string curve_svg(const PlateScore& score) {
  Frame frame;
  frame.top = 36;
  if (score.curves.empty() || !set_axes(score, frame)) return {};
  std::string svg = opened(frame, words::kCurveTitle, words::kCurveDescription);
  for (std::size_t i = 0; i < score.curves.size(); ++i) svg += curve_line(frame, score.curves[i], i);
  svg += x_axis(frame, words::kCurveXAxis) + y_axis(frame, words::kCurveYAxis);
  if (score.tones && score.tones->support_density) svg += tones_on_curve(frame, score) + legend(frame);
  return svg + "</svg>";
}

}  // namespace platewise
