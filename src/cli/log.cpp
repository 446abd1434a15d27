#include <vector>

#include "command.h"
#include "log_commands.h"

namespace platewise::cli {
namespace {

constexpr Command kParts[] = {
    {"list", "the plates of a logbook, one line each", set_up_log_list},
    {"show", "one plate: what was noted, measured and advised", set_up_log_show},
    {"note", "write a remark beside a plate", set_up_log_note},
    {"edit", "correct what was noted of a plate, or say what you then did", set_up_log_edit},
    {"export", "write the logbook as a list for a spreadsheet (CSV)", set_up_log_export},
    {"import", "take such a list into a logbook", set_up_log_import}};

struct Part {
  CLI::App* app;
  Run run;
};

}  // namespace

Run set_up_log(CLI::App& app) {
  app.require_subcommand(1);
  app.footer(
      "Plates come into a logbook when they are scored:\n"
      "  platewise score plate.tif --exposure 8s --development 20s --log plates.log --series \"May 3\"");
  std::vector<Part> parts;
  for (const Command& part : kParts) {
    CLI::App* part_app = app.add_subcommand(std::string(part.name), std::string(part.does));
    parts.push_back({part_app, part.set_up(*part_app)});
  }
  return [parts](Console& console) {
    for (const Part& part : parts) {
      if (part.app->parsed()) return part.run(console);
    }
    return ExitCode::wrong_usage;
  };
}

}  // namespace platewise::cli
