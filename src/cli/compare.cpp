#include "platewise/series/compare.h"

#include "command.h"
#include "outputs.h"
#include "platewise/json/series_json.h"
#include "platewise/present/series_text.h"
#include "scoring.h"
#include "shared_options.h"

namespace platewise::cli {
namespace {

struct CompareCommand {
  SharedOptions shared;
  JsonTarget json;
};

ExitCode run_compare(const CompareCommand& command, Console& console) {
  const auto requests = requests_of(command.shared);
  if (!requests) {
    console.complain(requests.error().problem);
    return requests.error().code;
  }
  if (requests->size() < 2) {
    console.complain({"compare", "needs at least two scans", ""});
    return ExitCode::wrong_usage;
  }
  std::vector<PlateScore> plates;
  const ExitCode scored =
      score_each(*requests, command.shared.jobs, console,
                 [&](PlateScore score, std::size_t) { plates.push_back(std::move(score)); });
  const SeriesComparison comparison = compare(plates);
  if (!command.json.takes_standard_output()) console.print(series_text(plates, comparison));
  if (!command.json.wanted()) return scored;
  const JsonStyle style = command.json.lines ? JsonStyle::one_line : JsonStyle::indented;
  return worse(scored, write_json(command.json, series_json(plates, comparison, style), console));
}

}  // namespace

Run set_up_compare(CLI::App& app) {
  const auto command = std::make_shared<CompareCommand>();
  add_shared_options(app, command->shared);
  add_json_options(app, command->json);
  app.footer("Example:\n  platewise compare plate-1.tif plate-2.tif --exposure 8s,12s");
  return [command](Console& console) { return run_compare(*command, console); };
}

}  // namespace platewise::cli
