// platewise log list and show: reading a logbook.
#include <fmt/format.h>

#include <memory>

#include "log_commands.h"
#include "outputs.h"
#include "platewise/json/score_json.h"
#include "platewise/present/text.h"
#include "series_log.h"

namespace platewise::cli {
namespace {

struct ListCommand {
  std::string file;
  std::string series;
};
struct ShowCommand {
  std::string file;
  std::int64_t number = 0;
  JsonTarget json;
};

std::string or_dash(const std::optional<double>& value, const char* before, const char* after) {
  return value ? fmt::format("{}{:.4g}{}", before, *value, after) : "-";
}

// Control characters of names and notes do not reach the terminal.
std::string safe(const std::string& text) {
  return Problem{"", text, ""}.message();
}

std::string settings_line(const LogEntry& entry) {
  std::string line = fmt::format("exposure {}, development {}, aperture {}, meter {}, temperature {}",
                                 or_dash(entry.exposure_s, "", " s"), or_dash(entry.development_s, "", " s"),
                                 or_dash(entry.aperture, "f/", ""), or_dash(entry.meter_ev, "", " EV"),
                                 or_dash(entry.temperature_c, "", " C"));
  if (entry.bellows_ratio) line += fmt::format(", bellows {:.3g} x focal length", *entry.bellows_ratio);
  if (entry.schwarzschild_p) line += fmt::format(", reciprocity {:.3g}", *entry.schwarzschild_p);
  return line;
}

std::string list_line(const LoggedPlate& plate, const std::string& file) {
  const LogEntry& entry = plate.entry;
  const Result<PlateScore> score = score_of(plate, file);
  std::string state = "not readable";
  if (score)
    state = score->recommendation ? std::string(name_of(score->recommendation->diagnosis)) : "not measured";
  for (char& c : state) c = c == '_' ? ' ' : c;
  std::string line = fmt::format("{:>5}  {:<10}  {:>8}  {:>8}  {:>6}  {:<28} {}\n", plate.id,
                                 entry.scored_at.substr(0, 10), or_dash(entry.exposure_s, "", " s"),
                                 or_dash(entry.development_s, "", " s"), or_dash(entry.aperture, "f/", ""),
                                 state, safe(std::filesystem::path(entry.scan_path).filename().string()));
  if (!entry.note.empty()) line += "         note: " + safe(entry.note) + "\n";
  if (!entry.done.empty()) line += "         then done: " + safe(entry.done) + "\n";
  return line;
}

ExitCode run_list(const ListCommand& command, Console& console) {
  const Result<Logbook> log = Logbook::open(command.file, LogbookUse::read);
  const auto plates = log ? log->plates(command.series) : tl::make_unexpected(log.error());
  if (!plates) {
    console.complain(plates.error());
    return ExitCode::input_unusable;
  }
  if (plates->empty() && !command.series.empty()) {
    console.complain({command.file, "has no series called " + command.series,
                      "platewise log list without --series shows all"});
    return ExitCode::input_unusable;
  }
  if (plates->empty()) console.print("The logbook is empty.\n");
  const auto series = log->series();
  for (const LoggedSeries& one : series ? *series : std::vector<LoggedSeries>()) {
    if (!command.series.empty() && one.name != command.series) continue;
    console.print(fmt::format("Series {}\n{:>5}  {:<10}  {:>8}  {:>8}  {:>6}  {:<28} scan\n", safe(one.name),
                              "plate", "scored", "exposure", "develop.", "lens", "state"));
    for (const LoggedPlate& plate : *plates) {
      if (plate.entry.series == one.name) console.print(list_line(plate, command.file));
    }
  }
  return ExitCode::done;
}

ExitCode run_show(const ShowCommand& command, Console& console) {
  const Result<Logbook> log = Logbook::open(command.file, LogbookUse::read);
  const auto plate = log ? log->plate(command.number) : tl::make_unexpected(log.error());
  const auto score = plate ? score_of(*plate, command.file) : tl::make_unexpected(plate.error());
  if (!score) {
    console.complain(score.error());
    return ExitCode::input_unusable;
  }
  if (!command.json.takes_standard_output()) {
    const LogEntry& entry = plate->entry;
    console.print(fmt::format("Plate {} of the series {}, scored {}\nNoted: {}\n", plate->id,
                              safe(entry.series), safe(entry.scored_at), settings_line(entry)));
    if (!entry.note.empty()) console.print("Note: " + safe(entry.note) + "\n");
    if (!entry.done.empty()) console.print("Then done: " + safe(entry.done) + "\n");
    console.print("\n" + summary_text(*score, console.style()));
  }
  if (!command.json.wanted()) return ExitCode::done;
  const JsonStyle style = command.json.lines ? JsonStyle::one_line : JsonStyle::indented;
  return write_json(command.json, score_json(*score, style), console);
}

}  // namespace

void add_log_option(CLI::App& app, std::string& file) {
  app.add_option("--log", file, "the logbook")->required()->type_name("FILE");
}

Run set_up_log_list(CLI::App& app) {
  const auto command = std::make_shared<ListCommand>();
  add_log_option(app, command->file);
  app.add_option("--series", command->series, "only this series")->type_name("NAME");
  app.footer("Example:\n  platewise log list --log plates.log");
  return [command](Console& console) { return run_list(*command, console); };
}

Run set_up_log_show(CLI::App& app) {
  const auto command = std::make_shared<ShowCommand>();
  add_log_option(app, command->file);
  app.add_option("PLATE", command->number, "the plate's number, as `platewise log list` shows it")
      ->required();
  add_json_options(app, command->json);
  app.footer("Example:\n  platewise log show 7 --log plates.log");
  return [command](Console& console) { return run_show(*command, console); };
}

}  // namespace platewise::cli
