#pragma once

#include <string>
#include <vector>

#include "console.h"
#include "exit_codes.h"
#include "platewise/pipeline/plate_score.h"

namespace platewise::cli {

struct PlatesOfLines {
  std::vector<PlateScore> plates;
  ExitCode code = ExitCode::done;
};

// The plates of files that `score --json-lines` wrote, in the order of files and lines. A file or line that
// cannot be used is complained about and left out. Scores read back carry numbers only, no picture.
[[nodiscard]] PlatesOfLines plates_of_lines(const std::vector<std::string>& files, Console& console);

}  // namespace platewise::cli
