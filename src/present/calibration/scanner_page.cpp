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

CurvePlot plot_of(const ScannerCalibration& calibration) {
  const DeviceCurve& device = calibration.device;
  CurvePlot plot;
  plot.title = "The scanner's curve";
  plot.description =
      "Density of the wedge's steps against the light the scanner read, and the curve through them.";
  plot.x_label = "log10 of the light read (full scale 0)";
  plot.y_label = "density (D)";
  for (const DeviceStep& step : device.steps) {
    plot.points.push_back({std::log10(step.signal), step.density, step.u});
  }
  plot.curve = [&device](double log_signal) { return density_of(device, std::pow(10.0, log_signal)).value; };
  for (const double off : calibration.residuals) plot.residuals.push_back(-off);
  plot.levels = {{"usable from here", device.range_min}, {"to here", device.range_max}};
  return plot;
}

std::string facts_html(const ScannerCalibration& calibration) {
  const DeviceCurve& device = calibration.device;
  std::string html = "<table class=\"plain\"><tbody>";
  html += row_html("left-out steps, rms", fmt::format("{:.3f} D", calibration.left_out_rms));
  html += row_html("largest residual", fmt::format("{:.3f} D", device.max_residual_density));
  html += row_html("flare", fmt::format("{:.2f} % of full scale", 100.0 * device.flare));
  html +=
      row_html("usable densities", density_text(device.range_min) + " to " + density_text(device.range_max));
  html += row_html("another material than the wedge", fmt::format("\u00b1{:.2f} D more", device.material_u));
  html += row_html("light", name_of(device.light));
  html +=
      row_html("scan", fmt::format("{} bit, profile: {}, {}", device.bits, device.colour_profile,
                                   device.resolution_dpi ? fmt::format("{:.0f} dpi", *device.resolution_dpi)
                                                         : "resolution not stated"));
  html += row_html("evened by a blank sheet", device.flat_fielded ? "yes" : "no");
  return html + "</tbody></table>";
}

std::string steps_html(const Wedge& wedge, const ScannerCalibration& calibration) {
  std::string html =
      "<table class=\"plain\"><thead><tr><th scope=\"col\">Step</th><th scope=\"col\">Density (D)</th>"
      "<th scope=\"col\">Light (share of full scale)</th><th scope=\"col\">u (D)</th><th "
      "scope=\"col\">Residual (D)</th></tr></thead><tbody>";
  std::size_t next = 0;
  for (std::size_t i = 0; i < wedge.steps.size(); ++i) {
    html += fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{:.5f}</td>", i + 1,
                        density_text(wedge.steps[i].density), calibration.found.steps[i].signal.value);
    if (calibration.used[i] && next < calibration.residuals.size()) {
      html += fmt::format("<td>{:.3f}</td><td>{:+.3f}</td></tr>", calibration.device.steps[next].u,
                          calibration.residuals[next]);
      ++next;
    } else {
      html += "<td colspan=\"2\">left out</td></tr>";
    }
  }
  return html + "</tbody></table>";
}

}  // namespace

Result<std::string> scanner_calibration_html(const Scan& scan, const Wedge& wedge,
                                             const ScannerCalibration& calibration) {
  const DeviceCurve& device = calibration.device;
  Result<std::string> picture = steps_picture_html(scan, calibration.found, calibration.used);
  if (!picture) return picture;
  const std::string name = escaped(scan.path.filename().string());
  const CurvePlot plot = plot_of(calibration);
  const auto used = std::count(calibration.used.begin(), calibration.used.end(), true);
  std::string body = fmt::format("<article><h2>{}: {}</h2>", words::kScannerPage, name);
  body += fmt::format(
      "<p class=\"advice\">Densities {} to {} can be read, to about {:.3f} D on the wedge\u2019s own "
      "scale.</p><p class=\"state\">{} of {} steps used.</p>",
      density_text(device.range_min), density_text(device.range_max), calibration.left_out_rms, used,
      calibration.used.size());
  body += *picture;
  body += fmt::format(
      "<section><h2>{}</h2><div class=\"pair\"><figure>{}</figure><figure>{}<figcaption>Each step against "
      "the curve through the others. Bars: two standard uncertainties.</figcaption></figure></div></section>",
      words::kCalibrationCurve, curve_plot_svg(plot), residual_plot_svg(plot));
  if (!device.warnings.empty()) {
    body += fmt::format("<section><h2>{}</h2>{}</section>", words::kWarnings, list_html(device.warnings));
  }
  body += fmt::format("<section><h2>{}</h2>{}</section>", words::kMeasured, facts_html(calibration));
  body += fmt::format("<section><h2>{}</h2>{}</section></article>", words::kSteps,
                      steps_html(wedge, calibration));
  return whole_page({fmt::format("{}: {}", words::kScannerPage, name), std::string(words::kScannerPage),
                     "To the calibration", body, device_json(device)});
}

}  // namespace platewise
