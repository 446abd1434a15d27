#pragma once

#include <vector>

#include "shared_options.h"

namespace platewise::cli {

// Fills in what tells the requests of this run from those of a run with other options, other notes or changed
// calibration files, so that only equal work is taken over from an earlier run.
void set_asked(const SharedOptions& options, std::vector<PlateRequest>& requests);

}  // namespace platewise::cli
