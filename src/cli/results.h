#pragma once

#include <CLI/CLI.hpp>
#include <string>

#include "console.h"
#include "exit_codes.h"
#include "outputs.h"
#include "shared_options.h"

namespace platewise::cli {

// What score and report leave behind.
struct ResultOptions {
  JsonTarget json;
  std::string overlay;
  std::string report;
  std::string pdf;  // needs a report
};

void add_result_options(CLI::App& app, ResultOptions& results);

// Scores every scan, prints summaries unless standard output carries JSON, and writes what was asked for.
[[nodiscard]] ExitCode score_and_write(const SharedOptions& shared, const ResultOptions& results,
                                       Console& console);

}  // namespace platewise::cli
