#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <span>
#include <string_view>

#include "console.h"
#include "exit_codes.h"

namespace platewise::cli {

// One command of the program. To add one:
//   1. src/cli/<command>.cpp with a function like those below: it adds the command's options to `app` and
//      returns what is run once the command line has been parsed;
//   2. its declaration here and its line in src/cli/command_table.cpp.
// Tests check the help of every command and that wrong usage exits with 2.
using Run = std::function<ExitCode(Console&)>;
struct Command {
  std::string_view name;
  std::string_view does;  // one line of help
  Run (*set_up)(CLI::App& app);
};

[[nodiscard]] std::span<const Command> commands();

Run set_up_score(CLI::App& app);
Run set_up_compare(CLI::App& app);
Run set_up_report(CLI::App& app);
Run set_up_calibrate(CLI::App& app);
Run set_up_log(CLI::App& app);
Run set_up_demo(CLI::App& app);

}  // namespace platewise::cli
