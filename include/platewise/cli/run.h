#pragma once

#include <string_view>

namespace platewise {

inline constexpr std::string_view kVersion = "0.1.0";

// The whole program: parses the command line, runs the command, returns the exit status of exit_codes.h.
int run(int argc, const char* const* argv);

}  // namespace platewise
