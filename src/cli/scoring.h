#pragma once

#include <functional>
#include <vector>

#include "console.h"
#include "platewise/pipeline/plate_score.h"
#include "shared_options.h"

namespace platewise::cli {

// Scores the requests, `jobs` of them at once (0: one for each core). One that cannot be scored is named on
// standard error and left out; the others are done. `take` gets each score with its place among the inputs
// (from 0), in their order, on the calling thread. Returns the exit code so far.
ExitCode score_each(const std::vector<PlateRequest>& requests, int jobs, Console& console,
                    const std::function<void(PlateScore, std::size_t)>& take);

// Names on standard error what could not be done; false then.
bool succeeded(const Result<void>& result, Console& console);

}  // namespace platewise::cli
