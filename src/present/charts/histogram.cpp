#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "../words.h"
#include "charts.h"
#include "frame.h"

namespace platewise {
namespace {

using namespace charts;

// Several plates share a page: pattern names must differ.
std::string aim_pattern(const PlateScore& score) {
  return "aim-" + score.scan.sha256.substr(0, 12);
}

// Signs that would sit on each other go up a row.
std::string sign_lines(const Frame& frame, std::vector<ToneSign> signs) {
  std::sort(signs.begin(), signs.end(), [&](const ToneSign& a, const ToneSign& b) {
    return frame.at_x(a.density) < frame.at_x(b.density);
  });
  constexpr double kLetterWidth = 16.0;
  constexpr double kRowHeight = 15.0;
  std::string svg;
  double last_x = -100;
  int row = 0;
  int number = 0;
  for (const ToneSign& sign : signs) {
    const double x = frame.at_x(sign.density);
    row = x - last_x < kLetterWidth ? (row + 1) % 3 : 0;
    last_x = x;
    const double y = frame.top - 4 - kRowHeight * row;
    svg += fmt::format(
        "<line class=\"mark dash{3}\" x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\"/>", x, y,
        frame.floor_y(), number++ % 5);
    svg += text_at(x, y - 2, "letter", "middle", sign.letter);
  }
  return svg;
}

// With the photographer's own curve: 90% of the largest net density it gives, a third of a stop to either
// side (the contract's definition of a right plate). Net is over fog on a negative, over the support on a
// positive.
std::optional<Span> aim_of_curve(const PlateScore& score, double support) {
  constexpr double kAimShare = 0.9;
  constexpr double kThirdOfAStop = 0.1;  // log exposure
  const CurveModel& model = score.curves.front().model;
  const bool positive = is_positive(score.kind);
  const double silver =
      positive ? kAimShare * (model.fog + model.amplitude) : model.fog + kAimShare * model.amplitude;
  const double x = model.log_exposure_for(silver);
  if (!std::isfinite(x)) return std::nullopt;
  const double sign = positive ? -1.0 : 1.0;
  const double a = support + sign * model.silver(x - kThirdOfAStop);
  const double b = support + sign * model.silver(x + kThirdOfAStop);
  return Span{std::min(a, b), std::max(a, b)};
}

// Else where the handbook wants the highlight (sections 5a-bis and 5b, common practice): positives 0.75 to
// 0.95 lighter than the support, negatives 1.5 to 2.0 over the clear plate.
std::optional<Span> highlight_aim(const PlateScore& score) {
  const Tones& tones = *score.tones;
  if (!score.curves.empty() && tones.support_density) {
    return aim_of_curve(score, tones.support_density->value);
  }
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
  constexpr double kHalfLabel = 34.0;
  const double middle = std::clamp((a + b) / 2, frame.left + kHalfLabel, frame.end_x() - kHalfLabel);
  return fmt::format(
             "<defs><pattern id=\"{0}\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" "
             "patternTransform=\"rotate(45)\"><line class=\"hatch\" x1=\"0\" y1=\"0\" x2=\"0\" y2=\"8\"/>"
             "</pattern></defs><rect class=\"aim\" fill=\"url(#{0})\" x=\"{1:.1f}\" y=\"{2:.1f}\" "
             "width=\"{3:.1f}\" height=\"{4:.1f}\"/>",
             pattern, std::min(a, b), frame.top, std::abs(a - b), frame.floor_y() - frame.top) +
         text_at(middle, frame.top + 26, "number halo", "middle", words::kAim);
}

std::string veil_bracket(const Frame& frame, const Tones& tones) {
  if (!tones.fog || !tones.support_density || !tones.floor_density) return {};
  const double a = frame.at_x(tones.support_density->value);
  const double b = frame.at_x(tones.floor_density->value);
  const double y = frame.top + 8;
  return fmt::format("<path class=\"veil\" d=\"M{0:.1f} {2:.1f} v-6 H{1:.1f} v6\"/>", a, b, y) +
         text_at((a + b) / 2, y + 10, "number halo", "middle", words::kFog);
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
  constexpr double kShareWorthShowing = 0.0005;
  constexpr double kBorder = 0.06;  // density beyond the outermost sign
  std::vector<double> ends;
  for (std::size_t i = 0; i < histogram.share.size(); ++i) {
    if (histogram.share[i] > kShareWorthShowing) {
      ends.push_back(histogram.edges[i]);
      ends.push_back(histogram.edges[i + 1]);
    }
  }
  for (const ToneSign& sign : tone_signs(tones)) ends.push_back(sign.density);
  if (aim) ends.insert(ends.end(), {aim->low, aim->high});
  if (ends.empty()) return {0.0, 2.0};
  const auto [low, high] = std::minmax_element(ends.begin(), ends.end());
  return {*low - kBorder, *high + kBorder};
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
  frame.y = {0.0, std::max(1e-6, *std::max_element(share.begin(), share.end()) * 1.25)};
  std::string svg = opened(frame, words::kHistogramTitle, words::kHistogramDescription);
  if (aim) svg += aim_band(frame, *aim, aim_pattern(score));
  svg += bars(frame, tones.histogram);
  svg += sign_lines(frame, tone_signs(tones));
  svg += veil_bracket(frame, tones);
  svg += x_axis(frame, is_positive(score.kind) ? words::kPositiveAxis : words::kNegativeAxis);
  constexpr double kPercent = 100.0;
  return svg + y_axis(frame, words::kShareAxis, kPercent) + "</svg>";
}

}  // namespace platewise
