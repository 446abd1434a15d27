#pragma once

#include <string>
#include <vector>

namespace platewise {

// Sentences for the user about what could not be measured, was assumed, or should be doubted.
using Warnings = std::vector<std::string>;

}  // namespace platewise
