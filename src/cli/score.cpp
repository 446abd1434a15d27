#include "command.h"
#include "outputs.h"
#include "platewise/json/score_json.h"
#include "platewise/present/html.h"
#include "platewise/present/overlay.h"
#include "platewise/write/write_file.h"
#include "platewise/write/write_picture.h"
#include "scoring.h"
#include "shared_options.h"

namespace platewise::cli {
namespace {

struct ScoreCommand {
  SharedOptions shared;
  JsonTarget json;
  std::string overlay;
  std::string report;
};

Result<void> write_overlay(const std::filesystem::path& path, const PlateScore& score) {
  PictureFormat png;
  png.container = PictureContainer::png;
  return write_picture(path, score_overlay(score).rgb, png);
}

// The pictures are large; they stay only where something is still drawn from them.
void release_pictures(PlateScore& score) {
  score.density.reset();
  score.scan_picture = {};
}

ExitCode write_report(const std::string& path, const std::vector<PlateScore>& scores, Console& console) {
  const Result<std::string> page = report_html(scores);
  if (!page) {
    console.complain(page.error());
    return ExitCode::input_unusable;
  }
  return succeeded(write_file(path, *page), console) ? ExitCode::done : ExitCode::input_unusable;
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

ExitCode run_score(const ScoreCommand& command, Console& console) {
  const auto requests = requests_of(command.shared);
  if (!requests) {
    console.complain(requests.error().problem);
    return requests.error().code;
  }
  std::vector<PlateScore> scores;
  ExitCode code = ExitCode::done;
  const ExitCode scored = score_each(*requests, console, [&](PlateScore score, std::size_t i) {
    if (!command.overlay.empty()) {
      const auto path = numbered(command.overlay, i, requests->size());
      if (!succeeded(write_overlay(path, score), console)) code = ExitCode::input_unusable;
    }
    if (!command.json.takes_standard_output()) {
      console.print((scores.empty() ? "" : "\n") + summary_text(score, console.style()));
    }
    if (command.report.empty()) release_pictures(score);
    scores.push_back(std::move(score));
  });
  code = worse(code, scored);
  const bool one_scan = requests->size() == 1;
  if (command.json.wanted() && !(one_scan && scores.empty())) {
    code = worse(code, write_json(command.json, document(scores, command.json, one_scan), console));
  }
  if (!command.report.empty() && !scores.empty()) {
    code = worse(code, write_report(command.report, scores, console));
  }
  return code;
}

}  // namespace

Run set_up_score(CLI::App& app) {
  const auto command = std::make_shared<ScoreCommand>();
  add_shared_options(app, command->shared);
  add_json_options(app, command->json);
  app.add_option("--overlay", command->overlay, "write a PNG with the outline and the faults drawn in")
      ->group("Results");
  app.add_option("--report", command->report, "write the correction report, one HTML page")->group("Results");
  app.footer(
      "Examples:\n"
      "  platewise score plate.tif --plate-size quarter --exposure 8s --development 20s\n"
      "  platewise score day/*.tif --settings day/settings.csv --device scanner.json --report day.html");
  return [command](Console& console) { return run_score(*command, console); };
}

}  // namespace platewise::cli
