#include "results.h"

#include <fmt/format.h>

#include <optional>
#include <set>
#include <utility>

#include "json_results.h"
#include "platewise/present/html.h"
#include "platewise/present/overlay.h"
#include "platewise/present/pdf.h"
#include "platewise/recommend/longest_exposure.h"
#include "platewise/write/write_file.h"
#include "platewise/write/write_picture.h"
#include "scoring.h"
#include "series_log.h"
#include "values.h"

namespace platewise::cli {
namespace {

Result<void> write_overlay(const std::filesystem::path& path, const PlateScore& score) {
  PictureFormat png;
  png.container = PictureContainer::png;
  return write_picture(path, score_overlay(score).rgb, png);
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

// The requests without those an earlier run has done.
struct Remaining {
  std::vector<PlateRequest> requests;
  std::vector<std::size_t> places;  // among all inputs
};

Remaining remaining(const std::vector<PlateRequest>& all, const std::vector<bool>& done) {
  Remaining left;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (done[i]) continue;
    left.requests.push_back(all[i]);
    left.places.push_back(i);
  }
  return left;
}

// What makes no sense together, before any work starts.
std::optional<Problem> contradiction(const ResultOptions& results) {
  if (!results.pdf.empty() && results.report.empty()) {
    return Problem{"--pdf", "prints the report, and none is asked for", "say --report FILE.html too"};
  }
  const bool lines_file = results.json.lines && !results.json.takes_standard_output();
  if (results.json.resume && (!lines_file || !results.report.empty())) {
    return Problem{"--resume", "goes on with a file of JSON lines only",
                   "say --json FILE --json-lines, without a report"};
  }
  return std::nullopt;
}

// Of --max-exposure; empty where it was not said.
Result<std::optional<double>> longest_exposure_s(const SharedOptions& shared) {
  if (shared.longest_exposure.empty()) return std::optional<double>();
  const Result<double> longest = time_s(shared.longest_exposure, "--max-exposure");
  if (!longest) return tl::make_unexpected(longest.error());
  return std::optional(*longest);
}

}  // namespace

void add_result_options(CLI::App& app, ResultOptions& results) {
  add_json_options(app, results.json);
  add_resume_option(app, results.json);
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
  if (const auto problem = contradiction(results)) {
    console.complain(*problem);
    return ExitCode::wrong_usage;
  }
  const auto longest = longest_exposure_s(shared);
  if (!longest) {
    console.complain(longest.error());
    return ExitCode::wrong_usage;
  }
  auto log = SeriesLog::open(shared);
  if (!log) {
    console.complain(log.error().problem);
    return log.error().code;
  }
  Result<JsonResults> json = JsonResults::begin(results.json, requests->size(), console);
  if (!json) {
    console.complain(json.error());
    return ExitCode::input_unusable;
  }
  const Remaining left = remaining(*requests, json->done_before(*requests));
  if (const std::size_t done = requests->size() - left.requests.size(); done > 0) {
    console.remark(fmt::format("{} of {} plates were done before.", done, requests->size()));
  }
  std::vector<PlateScore> kept;  // for the report
  std::set<std::string> said;    // doubts and cautions shown so far
  bool first = true;
  ExitCode code = ExitCode::done;
  const ExitCode scored =
      score_each(left.requests, shared.jobs, console, [&](PlateScore score, std::size_t i) {
        const std::size_t place = left.places[i];
        std::string noted;
        if (*log) {
          const Result<std::int64_t> number = (*log)->join(score, *longest);
          if (!number) {
            console.complain(number.error());
            code = ExitCode::input_unusable;
          }
          noted = number ? (*log)->line(*number) : std::string();
        } else if (*longest && score.recommendation) {
          offer_longest_exposure(*score.recommendation, score.settings, **longest);
        }
        if (!results.overlay.empty()) {
          const auto path = numbered(results.overlay, place, requests->size());
          if (!succeeded(write_overlay(path, score), console)) code = ExitCode::input_unusable;
        }
        if (!results.json.takes_standard_output()) {
          console.print((std::exchange(first, false) ? "" : "\n") +
                        summary_text(score, console.style(), said) + noted);
          said.insert(score.warnings.begin(), score.warnings.end());
          said.insert(score.cautions.begin(), score.cautions.end());
        }
        code = worse(code, json->take(score, place));
        if (!results.report.empty()) kept.push_back(std::move(score));
      });
  code = worse(code, worse(scored, json->finish()));
  if (!kept.empty()) code = worse(code, write_report(results, kept, console));
  return code;
}

}  // namespace platewise::cli
