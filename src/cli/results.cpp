#include "results.h"

#include "platewise/json/score_json.h"
#include "platewise/present/html.h"
#include "platewise/present/overlay.h"
#include "platewise/present/pdf.h"
#include "platewise/write/write_file.h"
#include "platewise/write/write_picture.h"
#include "scoring.h"

namespace platewise::cli {
namespace {

Result<void> write_overlay(const std::filesystem::path& path, const PlateScore& score) {
  PictureFormat png;
  png.container = PictureContainer::png;
  return write_picture(path, score_overlay(score).rgb, png);
}

// The pictures are large; they stay only where something is still drawn from them.
void release_pictures(PlateScore& score) {
  score.density.reset();
  score.scan_picture = {};
  if (!score.regions) return;
  Regions& regions = *score.regions;
  regions.plate = regions.film = regions.bare = regions.rim = regions.picture = regions.glare = Mask{};
}

ExitCode write_report(const ResultOptions& results, const std::vector<PlateScore>& scores, Console& console) {
  const Result<std::string> page = report_html(scores);
  if (!page) {
    console.complain(page.error());
    return ExitCode::input_unusable;
  }
  if (!succeeded(write_file(results.report, *page), console)) return ExitCode::input_unusable;
  if (!results.json.takes_standard_output()) console.print("\nThe report is in " + results.report + "\n");
  if (results.pdf.empty()) return ExitCode::done;
  return succeeded(print_pdf(results.report, results.pdf), console) ? ExitCode::done
                                                                    : ExitCode::input_unusable;
}

std::string document(const std::vector<PlateScore>& scores, const JsonTarget& target, bool one_scan) {
  if (target.lines) {
    std::string lines;
    for (const PlateScore& score : scores) lines += score_json(score) + "\n";
    return lines;
  }
  return one_scan ? score_json(scores.front(), JsonStyle::indented)
                  : scores_json(scores, JsonStyle::indented);
}

}  // namespace

void add_result_options(CLI::App& app, ResultOptions& results) {
  add_json_options(app, results.json);
  app.add_option("--overlay", results.overlay, "write a PNG with the outline and the faults drawn in")
      ->group("Results");
  app.add_option("-o,--output,--report", results.report, "write the correction report, one HTML page")
      ->group("Results");
  app.add_option("--pdf", results.pdf, "print the report to PDF as well (needs the Chromium browser)")
      ->group("Results");
}

ExitCode score_and_write(const SharedOptions& shared, const ResultOptions& results, Console& console) {
  const auto requests = requests_of(shared);
  if (!requests) {
    console.complain(requests.error().problem);
    return requests.error().code;
  }
  if (!results.pdf.empty() && results.report.empty()) {
    console.complain({"--pdf", "prints the report, and none is asked for", "say --report FILE.html too"});
    return ExitCode::wrong_usage;
  }
  std::vector<PlateScore> scores;
  ExitCode code = ExitCode::done;
  const ExitCode scored = score_each(*requests, console, [&](PlateScore score, std::size_t i) {
    if (!results.overlay.empty()) {
      const auto path = numbered(results.overlay, i, requests->size());
      if (!succeeded(write_overlay(path, score), console)) code = ExitCode::input_unusable;
    }
    if (!results.json.takes_standard_output()) {
      console.print((scores.empty() ? "" : "\n") + summary_text(score, console.style()));
    }
    if (results.report.empty()) release_pictures(score);
    scores.push_back(std::move(score));
  });
  code = worse(code, scored);
  const bool one_scan = requests->size() == 1;
  if (results.json.wanted() && !(one_scan && scores.empty())) {
    code = worse(code, write_json(results.json, document(scores, results.json, one_scan), console));
  }
  if (!results.report.empty() && !scores.empty()) code = worse(code, write_report(results, scores, console));
  return code;
}

}  // namespace platewise::cli
