#pragma once

namespace platewise {

// The whole program: parses the command line, runs the command, returns the exit status of exit_codes.h.
int run(int argc, const char* const* argv);

}  // namespace platewise
