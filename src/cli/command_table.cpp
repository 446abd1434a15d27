#include "command.h"

namespace platewise::cli {

std::span<const Command> commands() {
  static constexpr Command kCommands[] = {
      {"score", "read finished plates, say what state they are in and what to change for the next",
       set_up_score},
      {"compare", "what changed from plate to plate: tones, faults, exposure, drift", set_up_compare},
      {"report", "the correction report: one HTML page to read on a phone or print", set_up_report},
      {"calibrate", "teach the program your scanner or your plates from a step wedge", set_up_calibrate},
      {"log", "the logbook: list, show, correct, and to a spreadsheet and back", set_up_log},
      {"demo", "render an invented day of plates and wedges to try everything on", set_up_demo}};
  return kCommands;
}

}  // namespace platewise::cli
