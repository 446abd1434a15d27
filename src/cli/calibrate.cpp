#include "calibrate_commands.h"
#include "command.h"

namespace platewise::cli {

// Which of the two was asked for shows when the command line has been parsed.
Run set_up_calibrate(CLI::App& app) {
  app.require_subcommand(1);
  CLI::App* scanner = app.add_subcommand(
      "scanner", "the scanner's or camera's curve, from a scan of a step wedge of known densities");
  CLI::App* plate = app.add_subcommand(
      "plate", "your plate's curve, from a developed plate that was exposed through a step wedge");
  const Run run_scanner = set_up_calibrate_scanner(*scanner);
  const Run run_plate = set_up_calibrate_plate(*plate);
  return [scanner, run_scanner, run_plate](Console& console) {
    return scanner->parsed() ? run_scanner(console) : run_plate(console);
  };
}

}  // namespace platewise::cli
