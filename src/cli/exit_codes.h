#pragma once

namespace platewise::cli {

enum class ExitCode {
  done = 0,            // everything that was asked for was done
  input_unusable = 1,  // at least one input could not be used or one output written; the others are done
  wrong_usage = 2      // the command line makes no sense: nothing was started
};

}  // namespace platewise::cli
