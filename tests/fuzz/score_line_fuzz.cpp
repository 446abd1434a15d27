// Any text as a line of scores.
#include "fuzz.h"
#include "platewise/json/score_line.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto score = platewise::score_identity(platewise::fuzz::text(data, size));
  platewise::fuzz::must(!score || !score->sha256.empty());
  return 0;
}
