// platewise log export and import: the logbook as a list for a spreadsheet.
#include <fmt/format.h>

#include <fstream>
#include <iterator>
#include <memory>

#include "log_commands.h"
#include "platewise/logbook/log_csv.h"
#include "platewise/write/write_file.h"

namespace platewise::cli {
namespace {

struct ExportCommand {
  std::string file;
  std::string series;
  std::string output = "-";
};
struct ImportCommand {
  std::string file;
  std::string list;
};

ExitCode run_export(const ExportCommand& command, Console& console) {
  const Result<Logbook> log = Logbook::open(command.file, LogbookUse::read);
  const auto plates = log ? log->plates(command.series) : tl::make_unexpected(log.error());
  if (!plates) {
    console.complain(plates.error());
    return ExitCode::input_unusable;
  }
  const std::string list = log_csv(*plates);
  if (command.output == "-") {
    console.print(list);
    return ExitCode::done;
  }
  if (const Result<void> written = write_file(command.output, list); !written) {
    console.complain(written.error());
    return ExitCode::input_unusable;
  }
  console.remark(fmt::format("{} plates are in {}.", plates->size(), command.output));
  return ExitCode::done;
}

Result<std::size_t> imported(const ImportCommand& command) {
  std::error_code failed;
  if (!std::filesystem::is_regular_file(command.list, failed)) {
    return failure(command.list, "there is no such file", "check the name");
  }
  std::ifstream file(command.list, std::ios::binary);
  if (!file) return failure(command.list, "no permission to read it");
  const std::string text(std::istreambuf_iterator<char>(file), {});
  const auto entries = log_entries_from_csv(text, command.list);
  if (!entries) return tl::make_unexpected(entries.error());
  Result<Logbook> log = Logbook::open(command.file, LogbookUse::write);
  if (!log) return tl::make_unexpected(log.error());
  const auto numbers = log->put_whole(*entries);
  if (!numbers) return tl::make_unexpected(numbers.error());
  return numbers->size();
}

ExitCode run_import(const ImportCommand& command, Console& console) {
  const Result<std::size_t> count = imported(command);
  if (!count) {
    console.complain(count.error());
    return ExitCode::input_unusable;
  }
  console.print(fmt::format("{} plates are taken over into {}.\n", *count, command.file));
  return ExitCode::done;
}

}  // namespace

Run set_up_log_export(CLI::App& app) {
  const auto command = std::make_shared<ExportCommand>();
  add_log_option(app, command->file);
  app.add_option("--series", command->series, "only this series")->type_name("NAME");
  app.add_option("-o,--output", command->output, "the list (CSV); - is standard output")
      ->capture_default_str();
  app.footer("Opens in a spreadsheet. Example:\n  platewise log export --log plates.log -o plates.csv");
  return [command](Console& console) { return run_export(*command, console); };
}

Run set_up_log_import(CLI::App& app) {
  const auto command = std::make_shared<ImportCommand>();
  add_log_option(app, command->file);
  app.add_option("LIST", command->list, "a list as `platewise log export` writes it")->required();
  app.footer(
      "A plate that the logbook has already (same series, same scan) becomes what the list says; others are\n"
      "added. All rows are taken or none. Example:\n  platewise log import plates.csv --log plates.log");
  return [command](Console& console) { return run_import(*command, console); };
}

}  // namespace platewise::cli
