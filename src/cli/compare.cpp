#include "platewise/series/compare.h"

#include <fmt/format.h>

#include <cmath>

#include "command.h"
#include "outputs.h"
#include "platewise/json/series_json.h"
#include "platewise/present/series_text.h"
#include "platewise/read/sha256.h"
#include "score_lines.h"
#include "scoring.h"
#include "series_log.h"
#include "shared_options.h"

namespace platewise::cli {
namespace {

struct CompareCommand {
  SharedOptions shared;
  JsonTarget json;
  std::vector<std::string> from;  // files of scores, one a line
};

struct Compared {
  std::vector<PlateScore> plates;
  ExitCode code = ExitCode::done;
};
using Gathered = tl::expected<Compared, Refusal>;

// The plates' pictures, looked at again for aligning them, stand beside the numbers of the logbook only when
// they were measured the same way.
bool same_tones(const PlateScore& a, const PlateScore& b) {
  constexpr double kSame = 0.03;  // density
  const auto close = [](const std::optional<Quantity>& x, const std::optional<Quantity>& y) {
    return x && y && std::abs(x->value - y->value) < kSame;
  };
  return a.tones && b.tones && close(a.tones->floor_density, b.tones->floor_density) &&
         close(a.tones->highlight_density, b.tones->highlight_density);
}

// Looks again at those scans of the logbook that are still where they were, unchanged.
Result<void> add_pictures(const SharedOptions& shared, std::vector<PlateScore>& plates, Console& console) {
  SharedOptions again = shared;
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < plates.size(); ++i) {
    const std::filesystem::path& path = plates[i].scan.path;
    std::error_code failed;
    if (!std::filesystem::is_regular_file(path, failed)) continue;
    if (sha256_of_file(path) != plates[i].scan.sha256) continue;
    again.scans.push_back(path.string());
    places.push_back(i);
  }
  if (places.size() < 2) return {};
  auto requests = requests_of(again);
  if (!requests) return tl::make_unexpected(requests.error().problem);
  for (std::size_t i = 0; i < places.size(); ++i) {
    PlateScore& plate = plates[places[i]];
    ScoreOptions& options = (*requests)[i].options;
    options.kind = plate.kind;
    options.light = plate.light;
    options.look_for_faults = !plate.faults.found.empty();
    if (plate.outline.source == OutlineSource::given) options.locate.corners_px = plate.outline.corners_px;
  }
  score_each(*requests, shared.jobs, console, [&](PlateScore seen, std::size_t i) {
    PlateScore& plate = plates[places[i]];
    if (!same_tones(plate, seen)) return;
    plate.density = std::move(seen.density);
    plate.regions = std::move(seen.regions);
    plate.curves = std::move(seen.curves);
  });
  return {};
}

// All plates of a series, from its logbook, which is only read.
Gathered series_plates(const SharedOptions& shared, Console& console) {
  const auto unusable = [](const Problem& problem) {
    return tl::make_unexpected(Refusal{ExitCode::input_unusable, problem});
  };
  const Result<Logbook> log = Logbook::open(shared.log, LogbookUse::read);
  if (!log) return unusable(log.error());
  const auto logged = log->plates(shared.series);
  if (!logged) return unusable(logged.error());
  Compared compared;
  for (const LoggedPlate& plate : *logged) {
    Result<PlateScore> score = score_of(plate, shared.log);
    if (score) {
      score->scan.path = plate.entry.scan_path;
      compared.plates.push_back(*std::move(score));
    } else {
      console.complain(score.error());
      compared.code = ExitCode::input_unusable;
    }
  }
  if (compared.plates.size() < 2) {
    return unusable({shared.log,
                     fmt::format("has {} plate(s) in the series {}: comparing needs two",
                                 compared.plates.size(), shared.series),
                     "platewise log list shows what is there"});
  }
  if (const Result<void> seen = add_pictures(shared, compared.plates, console); !seen) {
    return unusable(seen.error());
  }
  return compared;
}

// Plates scored before, perhaps by many machines: their numbers alone, no scan is opened.
Gathered scored_plates(const CompareCommand& command, Console& console) {
  if (!command.shared.scans.empty() || !command.shared.log.empty()) {
    return tl::make_unexpected(Refusal{
        ExitCode::wrong_usage,
        {"--from", "takes the plates from files of scores; scans or --log cannot stand beside it", ""}});
  }
  PlatesOfLines lines = plates_of_lines(command.from, console);
  if (lines.plates.size() < 2) {
    return tl::make_unexpected(
        Refusal{ExitCode::input_unusable,
                {"--from", fmt::format("gives {} plate(s): comparing needs two", lines.plates.size()),
                 "name files that platewise score --json-lines wrote"}});
  }
  return Compared{std::move(lines.plates), lines.code};
}

Gathered scanned_plates(const SharedOptions& shared, Console& console) {
  const auto requests = requests_of(shared);
  if (!requests) return tl::make_unexpected(requests.error());
  if (requests->size() < 2) {
    return tl::make_unexpected(
        Refusal{ExitCode::wrong_usage,
                {"compare", "needs at least two scans, or --log FILE --series NAME, or --from LINES", ""}});
  }
  auto log = SeriesLog::open(shared);
  if (!log) return tl::make_unexpected(log.error());
  Compared compared;
  const ExitCode scored = score_each(*requests, shared.jobs, console, [&](PlateScore score, std::size_t) {
    if (*log) {
      if (const auto number = (*log)->join(score); !number) {
        console.complain(number.error());
        compared.code = ExitCode::input_unusable;
      }
    }
    compared.plates.push_back(std::move(score));
  });
  compared.code = worse(compared.code, scored);
  return compared;
}

Gathered gathered_plates(const CompareCommand& command, Console& console) {
  const SharedOptions& shared = command.shared;
  if (!command.from.empty()) return scored_plates(command, console);
  const bool from_log = shared.scans.empty() && !shared.log.empty() && !shared.series.empty();
  return from_log ? series_plates(shared, console) : scanned_plates(shared, console);
}

ExitCode run_compare(const CompareCommand& command, Console& console) {
  const Gathered gathered = gathered_plates(command, console);
  if (!gathered) {
    console.complain(gathered.error().problem);
    return gathered.error().code;
  }
  const std::vector<PlateScore>& plates = gathered->plates;
  const SeriesComparison comparison = compare(plates);
  if (!command.json.takes_standard_output()) console.print(series_text(plates, comparison));
  if (!command.json.wanted()) return gathered->code;
  const JsonStyle style = command.json.lines ? JsonStyle::one_line : JsonStyle::indented;
  return worse(gathered->code, write_json(command.json, series_json(plates, comparison, style), console));
}

}  // namespace

Run set_up_compare(CLI::App& app) {
  const auto command = std::make_shared<CompareCommand>();
  add_shared_options(app, command->shared);
  app.get_option("SCAN")->required(false);
  add_json_options(app, command->json);
  app.add_option("--from", command->from,
                 "files of scores that score --json-lines wrote: compares their plates in order, by their "
                 "numbers alone")
      ->type_name("LINES.jsonl");
  app.footer(
      "Examples:\n  platewise compare plate-1.tif plate-2.tif --exposure 8s,12s\n"
      "  platewise compare --log plates.log --series \"May 3\"\n"
      "  platewise compare --from monday.jsonl tuesday.jsonl --json series.json");
  return [command](Console& console) { return run_compare(*command, console); };
}

}  // namespace platewise::cli
