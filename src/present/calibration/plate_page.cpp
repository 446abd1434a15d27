#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "../escape.h"
#include "../markup.h"
#include "../numbers.h"
#include "../whole_page.h"
#include "../words.h"
#include "page_words.h"
#include "platewise/json/curve_json.h"
#include "platewise/present/calibration_html.h"
#include "plots.h"
#include "steps_picture.h"

namespace platewise {
namespace {

CurvePlot plot_of(const PlateCurve& curve) {
  CurvePlot plot;
  plot.title = "The plate's characteristic curve";
  plot.description = "Image silver of the steps against log exposure, and the curve through them.";
  plot.x_label = "log exposure (one stop = 0.30)";
  plot.y_label = is_positive(curve.kind) ? "image silver: lightening (D)" : "image silver (D)";
  const double sign = is_positive(curve.kind) ? -1.0 : 1.0;
  const double support = curve.support_density ? curve.support_density->value : 0.0;
  for (const CurveStep& step : curve.steps) {
    plot.points.push_back({step.log_exposure, sign * (step.density - support), step.u});
  }
  plot.curve = [&curve](double log_exposure) { return curve.model.silver(log_exposure); };
  plot.levels = {{"fog", curve.fog.value}};
  plot.places = {{"speed point", curve.speed_point_log_exposure.value}};
  return plot;
}

std::string quantity_row(std::string_view name, const Quantity& value, std::string_view meaning) {
  return fmt::format(
      "<tr><th scope=\"row\">{}</th><td class=\"number-cell\">{}</td><td>{}</td></tr>", escaped(name),
      std::isfinite(value.value) ? escaped(density_text(value)) : std::string(words::kNotMeasured),
      escaped(meaning));
}

std::string quantities_html(const PlateCurve& curve) {
  const bool positive = is_positive(curve.kind);
  std::string html =
      "<table class=\"plain\"><caption>\u00b1 one standard uncertainty</caption><thead><tr><th "
      "scope=\"col\">Quantity</th><th scope=\"col\">Value</th><th scope=\"col\">What it is</th></tr></thead>"
      "<tbody>";
  html += quantity_row("fog", curve.fog, "silver where no light fell");
  html += quantity_row("gamma", curve.gamma, "greatest slope of the curve (Hurter & Driffield)");
  html += quantity_row("average gradient", curve.average_gradient,
                       positive ? "mean slope from the speed point over 0.65 of log exposure"
                                : "mean slope from the speed point over 1.30 of log exposure (ISO 6)");
  html += quantity_row("speed point", curve.speed_point_log_exposure,
                       "log exposure that gives 0.10 over fog (ISO 6)");
  html += quantity_row("exposure scale", curve.exposure_scale,
                       "log exposure from first trace (0.04) to 90 % of the strongest (after ISO 6846)");
  html += quantity_row("largest density", curve.max_density,
                       positive ? "without exposure" : "strongest exposure");
  html +=
      quantity_row("least density", curve.min_density, positive ? "strongest exposure" : "without exposure");
  return html + "</tbody></table>";
}

std::string seconds_or_unknown(const std::optional<double>& seconds) {
  return seconds ? seconds_text(*seconds) + " s" : "not noted";
}

std::string facts_html(const PlateCurve& curve) {
  std::string html = "<table class=\"plain\"><tbody>";
  html += row_html("plate", words::kind(curve.kind));
  html += row_html("exposure given", seconds_or_unknown(curve.exposure_s));
  html += row_html("development given", seconds_or_unknown(curve.development_s));
  html += row_html("density of the bare support", density_text(curve.support_density));
  html += row_html("steps off the curve, rms", fmt::format("{:.3f} D", curve.residual));
  html += row_html("whole exposure axis",
                   fmt::format("\u00b1{:.2f} of log exposure", curve.shared_log_exposure_u));
  html += row_html("toe reached", curve.toe_reached ? "yes" : "no: fog and speed point are extrapolated");
  html += row_html("shoulder reached", curve.shoulder_reached ? "yes" : "no: the plate can give more silver");
  return html + "</tbody></table>";
}

std::string steps_html(const PlateCurve& curve, const CurvePlot& plot) {
  std::string html =
      "<table class=\"plain\"><thead><tr><th scope=\"col\">Log exposure</th><th scope=\"col\">Density "
      "(D)</th><th scope=\"col\">u (D)</th><th scope=\"col\">Residual (D)</th></tr></thead><tbody>";
  for (std::size_t i = curve.steps.size(); i-- > 0;) {
    const CurveStep& step = curve.steps[i];
    html +=
        fmt::format("<tr><td>{:.2f}</td><td>{:.3f}</td><td>{:.3f}</td><td>{:+.3f}</td></tr>",
                    step.log_exposure, step.density, step.u, plot.points[i].y - plot.curve(plot.points[i].x));
  }
  return html + "</tbody></table>";
}

std::string headline(const PlateCurve& curve) {
  const double stop = std::log10(2.0);
  return fmt::format("Gamma {}, fog {} D, exposure scale {:.1f} \u00b1{:.1f} stops.",
                     density_text(curve.gamma), density_text(curve.fog), curve.exposure_scale.value / stop,
                     curve.exposure_scale.u / stop);
}

}  // namespace

Result<std::string> plate_calibration_html(const Scan& scan, const PlateCalibration& calibration) {
  const PlateCurve& curve = calibration.curve;
  Result<std::string> picture = steps_picture_html(scan, calibration.found, {});
  if (!picture) return picture;
  const std::string name = escaped(scan.path.filename().string());
  const CurvePlot plot = plot_of(curve);
  std::string body = fmt::format("<article><h2>{}: {}</h2><p class=\"advice\">{}</p>", words::kPlatePage,
                                 name, escaped(headline(curve)));
  body += *picture;
  body += fmt::format(
      "<section><h2>{}</h2><div class=\"pair\"><figure>{}</figure><figure>{}<figcaption>Bars: "
      "two standard uncertainties.</figcaption></figure></div></section>",
      words::kCalibrationCurve, curve_plot_svg(plot), residual_plot_svg(plot));
  body += fmt::format("<section><h2>{}</h2>{}</section>", words::kMeasured, quantities_html(curve));
  if (!curve.warnings.empty()) {
    body += fmt::format("<section><h2>{}</h2>{}</section>", words::kWarnings, list_html(curve.warnings));
  }
  body += fmt::format("<section><h2>{}</h2>{}</section>", words::kFacts, facts_html(curve));
  body += fmt::format("<section><h2>{}</h2>{}</section></article>", words::kSteps, steps_html(curve, plot));
  return whole_page({fmt::format("{}: {}", words::kPlatePage, name), std::string(words::kPlatePage),
                     "To the calibration", body, plate_curve_json(curve)});
}

}  // namespace platewise
