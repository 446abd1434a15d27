#include <filesystem>

#include "command.h"
#include "outputs.h"
#include "platewise/present/html.h"
#include "platewise/present/pdf.h"
#include "platewise/write/write_file.h"
#include "scoring.h"
#include "shared_options.h"

namespace platewise::cli {
namespace {

struct ReportCommand {
  SharedOptions shared;
  std::string page = "platewise-report.html";
  std::string pdf;
};

ExitCode run_report(const ReportCommand& command, Console& console) {
  const auto requests = requests_of(command.shared);
  if (!requests) {
    console.complain(requests.error().problem);
    return requests.error().code;
  }
  std::vector<PlateScore> scores;
  const ExitCode scored = score_each(
      *requests, console, [&](PlateScore score, std::size_t) { scores.push_back(std::move(score)); });
  if (scores.empty()) return scored;
  const Result<std::string> page = report_html(scores);
  if (!page) {
    console.complain(page.error());
    return ExitCode::input_unusable;
  }
  if (!succeeded(write_file(command.page, *page), console)) return ExitCode::input_unusable;
  console.print("The report is in " + command.page + "\n");
  if (command.pdf.empty()) return scored;
  if (!succeeded(print_pdf(command.page, command.pdf), console)) return ExitCode::input_unusable;
  console.print("Printed to " + command.pdf + "\n");
  return scored;
}

}  // namespace

Run set_up_report(CLI::App& app) {
  const auto command = std::make_shared<ReportCommand>();
  add_shared_options(app, command->shared);
  app.add_option("-o,--output,--report", command->page, "the page to write")
      ->capture_default_str()
      ->group("Results");
  app.add_option("--pdf", command->pdf, "print the page to PDF as well (needs the Chromium browser)")
      ->group("Results");
  app.footer("Example:\n  platewise report plate-1.tif plate-2.tif --exposure 8s,12s -o day.html");
  return [command](Console& console) { return run_report(*command, console); };
}

}  // namespace platewise::cli
