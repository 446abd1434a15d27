// platewise log note and edit: correcting what is noted of a plate.
#include <fmt/format.h>

#include <functional>
#include <memory>

#include "log_commands.h"
#include "platewise/logbook/logbook.h"
#include "values.h"

namespace platewise::cli {
namespace {

struct NoteCommand {
  std::string file;
  std::int64_t number = 0;
  std::string text;
};
struct EditCommand {
  std::string file;
  std::int64_t number = 0;
  std::string exposure, development, aperture, meter, temperature, bellows, reciprocity;
  std::optional<std::string> note, done, series;
};

Result<double> temperature_c(std::string_view text, const std::string& where) {
  constexpr double kLeast_c = -40.0;
  constexpr double kMost_c = 100.0;
  const auto value = number_in(text);
  if (value && *value >= kLeast_c && *value <= kMost_c) return *value;
  return failure(where, fmt::format("cannot understand \"{}\"", text), "degrees Celsius, as 19.5");
}

// `none` takes a setting back.
Result<void> set(std::optional<double>& setting, const std::string& text, const char* option,
                 Result<double> (*read)(std::string_view, const std::string&)) {
  if (text.empty()) return {};
  if (text == "none") {
    setting.reset();
    return {};
  }
  const Result<double> value = read(text, option);
  if (!value) return tl::make_unexpected(value.error());
  setting = *value;
  return {};
}

Result<void> apply(const EditCommand& command, LogEntry& entry) {
  const Result<void> all[] = {
      set(entry.exposure_s, command.exposure, "--exposure", time_s),
      set(entry.development_s, command.development, "--development", time_s),
      set(entry.aperture, command.aperture, "--aperture", f_number),
      set(entry.meter_ev, command.meter, "--meter", exposure_value),
      set(entry.temperature_c, command.temperature, "--temperature", temperature_c),
      set(entry.bellows_ratio, command.bellows, "--bellows", bellows_ratio),
      set(entry.schwarzschild_p, command.reciprocity, "--reciprocity", schwarzschild_p)};
  for (const Result<void>& one : all) {
    if (!one) return one;
  }
  if (command.series && command.series->empty()) return failure("--series", "cannot be empty");
  entry.note = command.note.value_or(entry.note);
  entry.done = command.done.value_or(entry.done);
  entry.series = command.series.value_or(entry.series);
  return {};
}

ExitCode change_plate(const std::string& file, std::int64_t number, Console& console,
                      const std::function<Result<void>(LogEntry&)>& change) {
  std::error_code failed;
  if (!std::filesystem::exists(file, failed)) {
    console.complain({file, "there is no such logbook", "check the name"});
    return ExitCode::input_unusable;
  }
  Result<Logbook> log = Logbook::open(file, LogbookUse::write);
  auto plate = log ? log->plate(number) : tl::make_unexpected(log.error());
  if (!plate) {
    console.complain(plate.error());
    return ExitCode::input_unusable;
  }
  if (const Result<void> changed = change(plate->entry); !changed) {
    console.complain(changed.error());
    return ExitCode::wrong_usage;
  }
  if (const Result<void> written = log->replace(number, plate->entry); !written) {
    console.complain(written.error());
    return ExitCode::input_unusable;
  }
  console.print(fmt::format("Plate {} is changed.\n", number));
  return ExitCode::done;
}

}  // namespace

Run set_up_log_note(CLI::App& app) {
  const auto command = std::make_shared<NoteCommand>();
  add_log_option(app, command->file);
  app.add_option("PLATE", command->number, "the plate's number, as `platewise log list` shows it")
      ->required();
  app.add_option("TEXT", command->text, "the remark; takes the place of the one before, \"\" for none")
      ->required();
  app.footer("Example:\n  platewise log note 7 \"new collodion, bath filtered\" --log plates.log");
  return [command](Console& console) {
    return change_plate(command->file, command->number, console, [&](LogEntry& entry) {
      entry.note = command->text;
      return Result<void>();
    });
  };
}

Run set_up_log_edit(CLI::App& app) {
  const auto command = std::make_shared<EditCommand>();
  add_log_option(app, command->file);
  app.add_option("PLATE", command->number, "the plate's number, as `platewise log list` shows it")
      ->required();
  app.add_option("--exposure", command->exposure, "time in the camera: 10s, 1/4s, 2min; none takes it back");
  app.add_option("--development", command->development, "time in the developer: 20s; or none");
  app.add_option("--aperture", command->aperture, "f/4; or none");
  app.add_option("--meter", command->meter, "light meter reading in EV at ISO 100; or none");
  app.add_option("--temperature", command->temperature, "of the developer, degrees Celsius; or none");
  app.add_option("--bellows", command->bellows, "draw of the camera over focal length: 300/210mm; or none");
  app.add_option("--reciprocity", command->reciprocity, "Schwarzschild's exponent, as 0.85; or none");
  app.add_option("--note", command->note, "the remark");
  app.add_option("--done", command->done, "what you then really did for the next plate, in your own words");
  app.add_option("--series", command->series, "move the plate to this series");
  app.footer(
      "What is not named stays as it is. The next plate of the series is judged with the corrected values.\n"
      "Example:\n  platewise log edit 7 --exposure 12s --done \"12 s, lens opened to f/4\" --log plates.log");
  return [command](Console& console) {
    return change_plate(command->file, command->number, console,
                        [&](LogEntry& entry) { return apply(*command, entry); });
  };
}

}  // namespace platewise::cli
