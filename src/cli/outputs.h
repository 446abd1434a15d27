#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <string>

#include "console.h"
#include "exit_codes.h"

namespace platewise::cli {

// Where the JSON goes.
struct JsonTarget {
  std::string file;  // "-" is standard output
  bool lines = false;
  bool resume = false;  // go on with the lines of an interrupted run

  [[nodiscard]] bool wanted() const { return lines || !file.empty(); }
  // Then nothing else is written there.
  [[nodiscard]] bool takes_standard_output() const { return file == "-" || (lines && file.empty()); }
};

void add_json_options(CLI::App& app, JsonTarget& target);
void add_resume_option(CLI::App& app, JsonTarget& target);

// Writes a finished document with a line end after it.
[[nodiscard]] ExitCode write_json(const JsonTarget& target, const std::string& document, Console& console);

// FILE.png of one scan, FILE-1.png, FILE-2.png ... of several.
[[nodiscard]] std::filesystem::path numbered(const std::filesystem::path& file, std::size_t index,
                                             std::size_t count);

// The worse of two.
[[nodiscard]] ExitCode worse(ExitCode a, ExitCode b);

}  // namespace platewise::cli
