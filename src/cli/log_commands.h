#pragma once

#include "command.h"

namespace platewise::cli {

// The parts of `platewise log`, each as a command of its own below it.
Run set_up_log_list(CLI::App& app);
Run set_up_log_show(CLI::App& app);
Run set_up_log_note(CLI::App& app);
Run set_up_log_edit(CLI::App& app);
Run set_up_log_export(CLI::App& app);
Run set_up_log_import(CLI::App& app);

// --log FILE, which each of them needs.
void add_log_option(CLI::App& app, std::string& file);

}  // namespace platewise::cli
