#pragma once

#include <string>
#include <vector>

#include "platewise/calibrate/find_steps.h"
#include "platewise/core/result.h"

namespace platewise {

// The scan with the found steps outlined and numbered, clear end of the wedge first. `used[i]` false: drawn
// dashed. Empty `used`: all were used.
[[nodiscard]] Result<std::string> steps_picture_html(const Scan& scan, const FoundSteps& found,
                                                     const std::vector<bool>& used);

}  // namespace platewise
