#include "platewise/cli/run.h"

#include <exception>
#include <string>

#include "command.h"
#include "platewise/read/read_scan.h"

namespace platewise {
namespace {

using cli::ExitCode;

struct SetUpCommand {
  CLI::App* app;
  cli::Run run;
};

std::vector<SetUpCommand> set_up(CLI::App& program) {
  program.require_subcommand(1);
  program.set_version_flag("--version", "platewise " + std::string(kVersion));
  program.footer("Each command explains itself: platewise score --help");
  std::vector<SetUpCommand> all;
  for (const cli::Command& command : cli::commands()) {
    CLI::App* app = program.add_subcommand(std::string(command.name), std::string(command.does));
    all.push_back({app, command.set_up(*app)});
  }
  return all;
}

// Help and version are results; everything else is wrong usage.
ExitCode answer(const CLI::App& program, const CLI::ParseError& error, cli::Console& console) {
  if (error.get_name() == "CallForHelp" || error.get_name() == "CallForAllHelp") {
    console.print(program.help());
    return ExitCode::done;
  }
  if (error.get_name() == "CallForVersion") {
    console.print(std::string(error.what()) + "\n");
    return ExitCode::done;
  }
  console.complain({"", error.what(), "platewise --help, or --help after a command"});
  return ExitCode::wrong_usage;
}

// The parser would only say that a command is missing.
bool names_no_command(int argc, const char* const* argv, cli::Console& console) {
  if (argc < 2 || argv[1][0] == '-') return false;
  std::string known;
  for (const cli::Command& command : cli::commands()) {
    if (command.name == argv[1]) return false;
    known += (known.empty() ? "" : ", ") + std::string(command.name);
  }
  console.complain({"", std::string(argv[1]) + " is no command", "one of: " + known});
  return true;
}

ExitCode run_program(int argc, const char* const* argv, cli::Console& console) {
  CLI::App program{
      "Reads a scan of a finished wet-plate collodion plate and says what to change for the next.",
      "platewise"};
  if (names_no_command(argc, argv, console)) return ExitCode::wrong_usage;
  const std::vector<SetUpCommand> commands = set_up(program);
  try {
    program.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return answer(program, error, console);
  }
  const PictureLibrary library("platewise");
  for (const SetUpCommand& command : commands) {
    if (!command.app->parsed()) continue;
    const ExitCode code = command.run(console);
    if (!console.output_failed()) return code;
    console.complain({"standard output", "could not be written: the disk may be full", ""});
    return ExitCode::input_unusable;
  }
  return ExitCode::wrong_usage;
}

}  // namespace

int run(int argc, const char* const* argv) {
  cli::Console console;
  try {
    return static_cast<int>(run_program(argc, argv, console));
  } catch (const std::exception& exception) {
    console.complain({"", std::string("stopped: ") + exception.what(), ""});
    return static_cast<int>(ExitCode::input_unusable);
  }
}

}  // namespace platewise
